"""In which order do passes fill each tank, and which of them share loads?"""
