"""Re-entry, harvest, grazing, rain-free and plant-back intervals."""
