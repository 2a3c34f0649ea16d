"""Work rate with refills, and what each sprayer costs per hour, per year and against hiring."""
