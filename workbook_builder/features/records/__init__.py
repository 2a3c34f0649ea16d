"""What does the spray record hold, what does it lack, and by when must it be written, posted and put away?"""
