"""What to fix, by cause: one line a cause on the first sheet, and the lines behind it by pass and field."""
