"""Two tanks in one trip, and the order of fields that lets leftover end on legal ground."""
