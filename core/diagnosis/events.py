"""From the knowledge, and the geometry if there is one, to the network: leak and links of every event.

A finding with a place has an event for each place; where readings show which part of the plate is close to the film,
its links lean there. This file must never know a report, or how the network is solved.
"""

import math
from collections.abc import Callable, Mapping

from core.diagnosis.densities import rectified_mean
from core.diagnosis.geometry_shifts import geometry_weight
from core.diagnosis.network import Network, build_network
from core.diagnosis.once import once_per_knowledge
from core.diagnosis.priors import starting_odds
from core.geometry.model import Geometry
from core.knowledge import Knowledge

Links = Mapping[str, float]
"""Cause to the chance that it alone produces an event."""


def compile_network(geometry: Geometry | None, knowledge: Knowledge) -> Network:
    """Return the network of ``starting_odds`` and ``describe_events``: what no geometry changes is compiled once."""
    network = _without_geometry(knowledge)
    return network if geometry is None else network.with_links(_leaning_links(geometry, knowledge))


def describe_events(geometry: Geometry | None, knowledge: Knowledge) -> Mapping[str, tuple[float, Links]]:
    """Return leak and links of every event: each finding as such (``id``), and at each place (``id@place``)."""
    even = {cause: _profile(cause, knowledge) for cause in knowledge.causes}
    leaning = {} if geometry is None else _leaning_links(geometry, knowledge)
    events: dict[str, tuple[float, Links]] = {}
    for name, finding in knowledge.findings.items():
        events[name] = (finding.leak, finding.links)
        for place in knowledge.places if finding.placed else ():
            event = f"{name}@{place}"
            links = {cause: link * even[cause][place] for cause, link in finding.links.items()}
            events[event] = (finding.leak / len(knowledge.places), {**links, **leaning.get(event, {})})
    return events


def lean_to_geometry(cause: str, side: str, geometry: Geometry, knowledge: Knowledge) -> Mapping[str, float]:
    """Return the chance of each place, given that a cause whose places lean made a finding of this side; sums to 1.

    Where readings show which part is close to the film and which is far, a squeezed finding of a tilt belongs on
    the close side and a gap on the far one, in proportion to the expected height there; on a crowned plate rim and
    centre divide likewise.
    The norm ``misplaced_share`` stays as it was: people mistake sides.
    """
    chances = _profile(cause, knowledge)
    toward = 1 if side == "gap" else -1
    heights = {name: (toward * height, u) for name, (height, u) in _LEANING[cause](geometry, knowledge).items()}
    mass = sum(chances[name] for name in heights)
    weights = {name: chances[name] * rectified_mean(height, u) for name, (height, u) in heights.items()}
    whole = sum(weights.values())
    stays = knowledge.norm("misplaced_share")
    stays += (1 - stays) * (1 - geometry_weight(geometry, knowledge))
    return {
        name: stays * chance + (1 - stays) * mass * weights[name] / whole if name in heights else chance
        for name, chance in chances.items()
    }


@once_per_knowledge
def _without_geometry(knowledge: Knowledge) -> Network:
    return build_network(starting_odds(knowledge), describe_events(None, knowledge))


def _leaning_links(geometry: Geometry, knowledge: Knowledge) -> Mapping[str, Links]:
    """Return, for each event whose place readings speak about, the links that they change."""
    placed = {name: one.side for name, one in knowledge.findings.items() if one.placed and one.side is not None}
    chances = {
        (cause, side): lean_to_geometry(cause, side, geometry, knowledge)
        for cause in _LEANING
        for side in dict.fromkeys(placed.values())
    }
    return {
        f"{name}@{place}": {
            cause: knowledge.findings[name].links[cause] * chances[cause, side][place]
            for cause in _LEANING
            if cause in knowledge.findings[name].links
        }
        for name, side in placed.items()
        for place in knowledge.places
    }


# ---- places and heights ---------------------------------------------------------------------------


def _profile(cause: str, knowledge: Knowledge) -> Mapping[str, float]:
    """Return the chance of each place from the cause's profile; places of one kind share evenly."""
    profile = knowledge.profiles.get(cause)
    kinds = [place.kind for place in knowledge.places.values()]
    even = 1 / len(set(kinds))
    return {
        name: (even if profile is None else float(getattr(profile, place.kind))) / kinds.count(place.kind)
        for name, place in knowledge.places.items()
    }


def _tilt_heights(geometry: Geometry, knowledge: Knowledge) -> dict[str, tuple[float, float]]:
    """Height of the tilted plane at each side and corner, with its uncertainty; positive is far from the film."""
    blur = knowledge.norm("place_height_sd_mm")
    tilt_x, tilt_y = geometry.tilt_x, geometry.tilt_y
    return {
        name: (
            tilt_x.value * place.x + tilt_y.value * place.y,
            math.hypot(tilt_x.u * place.x, tilt_y.u * place.y, blur),
        )
        for name, place in knowledge.places.items()
        if place.kind == "side_or_corner"
    }


def _crown_heights(geometry: Geometry, knowledge: Knowledge) -> dict[str, tuple[float, float]]:
    """Height of centre and rim against each other: with the middle thick, the rim is the close part."""
    u = math.hypot(geometry.crown.u, knowledge.norm("place_height_sd_mm"))
    sign = {"centre": 1, "edges": -1}
    return {
        name: (sign[place.kind] * geometry.crown.value, u)
        for name, place in knowledge.places.items()
        if place.kind in sign
    }


_LEANING: Mapping[str, Callable[[Geometry, Knowledge], dict[str, tuple[float, float]]]] = {
    "tilt": _tilt_heights,
    "crown": _crown_heights,
}
