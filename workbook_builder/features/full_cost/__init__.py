"""What do the passes cost in cash, and what with ownership and your own time?"""
