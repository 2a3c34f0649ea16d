"""When people may go back in after a pass, when the crop may be cut or grazed, and how long it must stay dry.
"""
