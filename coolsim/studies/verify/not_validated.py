"""Where no outside figure is to be had, so that the model is not validated."""

from __future__ import annotations

NOT_VALIDATED: tuple[tuple[str, str], ...] = (
    (
        "When an open top closes",
        "Nobody has published closing times of jars. It rests on the films, the freezing curve and one law of softness;"
        " the order of jars is checked, the time is not.",
    ),
    (
        "How deep dish and hole get",
        "No measured dishes were found. Checked against closed limits and a resolved mush, which takes the stiffness of"
        " mush as given; that is known to a factor of three either way.",
    ),
    (
        "Soft wax itself",
        "No source has all properties of one wax. Its curve comes from its acids, within 7 °C; two pure fats are"
        " checked, no wax.",
    ),
    (
        "The rate of cooling",
        "Fats that cool fast freeze lower. Their curve here is one in equilibrium, in one crystal form.",
    ),
    (
        "Films in a real room",
        "Published laws of free convection scatter by 10 to 20 % (from memory); a draught adds what nobody measures.",
    ),
    ("Left out", "The wick, air in the wax, wax that lets go of the glass, frost marks."),
)
"""What is not validated, and what it rests on instead."""
