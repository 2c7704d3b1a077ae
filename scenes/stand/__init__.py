"""The live stand: the page served to this computer, with sliders that are followed by rain."""
