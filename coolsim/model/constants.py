"""Constants of physics, all exact by definition; written here because scipy.constants takes long to import.

References
----------
BIPM, The International System of Units, 9th edition (2019): the Boltzmann, Planck and Avogadro constants and the
speed of light, and with them the gas constant and the Stefan-Boltzmann constant 2 pi⁵ k⁴/(15 h³ c²). Standard
gravity: 3rd CGPM (1901). Standard atmosphere: 10th CGPM (1954). A test compares them with ``scipy.constants``.
"""

from math import pi

_BOLTZMANN = 1.380649e-23  # J/K
_PLANCK = 6.62607015e-34  # J s
_AVOGADRO = 6.02214076e23  # 1/mol
_SPEED_OF_LIGHT = 299792458.0  # m/s

STEFAN_BOLTZMANN = 2.0 * pi**5 * _BOLTZMANN**4 / (15.0 * _PLANCK**3 * _SPEED_OF_LIGHT**2)
"""Stefan-Boltzmann constant [W/m²/K⁴]."""
GAS_CONSTANT = _AVOGADRO * _BOLTZMANN
"""Molar gas constant [J/mol/K]."""
STANDARD_GRAVITY = 9.80665
"""Acceleration of free fall [m/s²]."""
STANDARD_ATMOSPHERE = 101325.0
"""Pressure of one atmosphere [Pa]."""
ZERO_CELSIUS = 273.15
"""Ice point on the thermodynamic scale [K]."""
