"""Cost per acre or hectare, one figure everywhere: by pass, field, crop, pass name and whole farm."""
