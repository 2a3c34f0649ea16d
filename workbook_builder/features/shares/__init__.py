"""The share of the field sprayed of every spot pass: experience, scouting and loads joined in one estimate."""
