"""What goes into the tank for one load, in order: the page that is printed and taken along."""
