"""One spot pass on one page: its estimate, the choices, the next fill and what goes into it; and two charts."""
