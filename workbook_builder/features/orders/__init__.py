"""What is to be taken along for each pass, what is to be ordered, and by when?"""
