"""Which runoff points the products of a pass ask for, which its field has, and how many are still needed."""
