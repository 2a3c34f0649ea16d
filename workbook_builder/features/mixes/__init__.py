"""What is in each mix, and in which order do its products go into the tank?"""
