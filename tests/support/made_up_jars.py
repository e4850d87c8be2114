"""Jars, stated directly: what tests of them share."""

from coolsim.model.jar import Jar, Support, Surround, Vessel
from coolsim.model.materials import catalogue_inert, catalogue_wax, with_fragrance


def tumbler(*, boxed, diameter=0.078, height=0.090, depth=0.060, **changes) -> Jar:
    """Soft vegetable wax with 8 % of fragrance in a glass tumbler on oak, bare or in a closed box of board."""
    surround = Surround(gap=0.012, headroom=0.02, board=catalogue_inert("board"), layer=0.0032)
    return Jar(
        name="tumbler",
        vessel=Vessel(diameter=diameter, height=height, wall=0.003, base=0.006, material=catalogue_inert("glass")),
        wax=with_fragrance(catalogue_wax("soft-vegetable"), 0.08),
        depth=depth,
        pour=65.0,
        support=Support(material=catalogue_inert("oak"), thickness=0.03),
        surround=surround if boxed else None,
        **changes,
    )


def tin(**changes) -> Jar:
    """A small lacquer-free tin of 0.22 mm on granite, bare: metal that carries heat along its wall."""
    return Jar(
        name="tin",
        vessel=Vessel(
            diameter=0.0635,
            height=0.0445,
            wall=0.00022,
            base=0.00022,
            material=catalogue_inert("tinned-steel"),
            emissivity=0.06,
            foot=60.0,
        ),
        wax=with_fragrance(catalogue_wax("soft-vegetable"), 0.08),
        depth=0.037,
        pour=65.0,
        support=Support(material=catalogue_inert("granite"), thickness=0.032, underside="insulated"),
        **changes,
    )


EVENT_TIMES = ("rim_set", "wick_free_until", "top_closed", "fully_set", "solid_throughout", "cool")


def event_times(events) -> dict[str, float]:
    """All times among the events, by name [s]."""
    return {name: getattr(events, name) for name in EVENT_TIMES}
