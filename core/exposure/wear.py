"""What burn-in and raft cost: areas, thicknesses and times in, resin and light out.

This file must never know whether the cost is worth it.
"""


def extra_volume(area: float, thickness: float, intended: float) -> float:
    """Return the resin in a raft beyond its intended thickness, ml: A (d - d0), and never less than 0.

    Area mm², thicknesses mm. Plain geometry; 1000 mm³ are 1 ml.
    """
    return area * max(0.0, thickness - intended) / 1000


def mass(volume: float, density: float) -> float:
    """Return the mass, g, of a volume, ml, at a density, g/ml."""
    return volume * density


def equal_layers(lit: float, normal: float) -> float:
    """Return how many normal layers take as much light: lit time over normal exposure, both s."""
    return lit / normal
