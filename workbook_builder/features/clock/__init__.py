"""The farm's clock: its time zone, the moments it is put forward and back, and hours counted across them."""
