"""How often must a tank be rinsed, and before which crop must it be cleaned out of which products?"""
