"""Water quality: hardness, the ammonium sulfate it asks for, and what each mix carries."""
