"""When to look at a pass again, whether to respray, and which detection setting serves best."""
