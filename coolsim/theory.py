r"""The theory: the equations as the code has them, numbered, with what their symbols mean and what is left out.

The docstring of a function that holds an equation cites its number. DEVELOPERS.md shows all of it, and
`coolsim.report.paper.theory` sets it on paper. Formulas are written in the part of TeX that both matplotlib and GitHub
read: no backslash before a sign of punctuation, no bar, star or angle bracket.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SourceMark = Literal["definition", "published", "open library", "from memory", "this project", "estimate"]

MARKS: dict[SourceMark, str] = {
    "definition": "a balance, a definition or geometry, which needs no source",
    "published": "read in the source named",
    "open library": "as the source named has it, from memory, and held to the open library ht by a test",
    "from memory": "recalled, not checked against the source named",
    "this project": "a rule of this project's own",
    "estimate": "a judgement",
}
"""Where an equation comes from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Equation:
    """An equation with its number [-].

    `formulas` are in TeX; `functions` of the file `where`, in the package, hold it. `terms` says what its own symbols
    are and where it holds; `source` is empty where the mark says all.
    """

    number: int
    name: str
    formulas: tuple[str, ...]
    where: str
    functions: tuple[str, ...]
    terms: str
    mark: SourceMark
    source: str = ""

    @property
    def origin(self) -> str:
        """Source with its mark."""
        return f"{self.source} ({self.mark})" if self.source else self.mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """Equations that belong together, in the order of the code."""

    title: str
    equations: tuple[Equation, ...]


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol in TeX that means the same in all equations, and its unit, [-] without one."""

    formula: str
    meaning: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """What the model leaves out, what it would do, what that costs, and what that rests on."""

    what: str
    effect: str
    cost: str
    basis: str


_WAX = Chapter(
    title="Wax and heat",
    equations=(
        Equation(
            number=1,
            name="Balance of enthalpy",
            formulas=(
                r"\frac{\partial H}{\partial t} = \frac{1}{r}\frac{\partial}{\partial r}"
                r"\left(r k \frac{\partial T}{\partial r}\right)"
                r" + \frac{\partial}{\partial z}\left(k \frac{\partial T}{\partial z}\right) + s + q",
            ),
            where="model/problem.py",
            functions=("Problem",),
            terms="Wax, vessel, board and bench; nothing moves but by s, and the wax keeps the place of the pour.",
            mark="definition",
        ),
        Equation(
            number=2,
            name="Enthalpy",
            formulas=(r"H(T) = \int_{0}^{T} \rho c dT^{\prime} + \rho L f(T), \quad c = c_s + (c_l - c_s) f",),
            where="model/freezing.py",
            functions=("enthalpy_table",),
            terms=(
                "Zero in the solid at 0 °C. ρ is one value for each material. T, f and θ are looked up by H, straight"
                " over 512 equal steps of it."
            ),
            mark="definition",
        ),
        Equation(
            number=3,
            name="Liquid share, two temperatures known",
            formulas=(
                r"f = 0.1 + 0.9 u \quad (0 \leq u \leq 1)",
                r"f = 0.1 (1 + u) \quad (-1 \leq u \leq 0)",
                r"u = (T - T_e) / (T_s - T_e)",
            ),
            where="model/freezing_curve.py",
            functions=("straight_curve",),
            terms="Straight from the start of freezing to its end, where 90 % is solid, and a tail as long.",
            mark="estimate",
        ),
        Equation(
            number=4,
            name="Liquid share of a fat",
            formulas=(
                r"\sum_i \frac{Z_i (K_i - 1)}{1 + S (K_i - 1)} = 0, \quad"
                r" K_i = \exp\left[\frac{\Delta H_i}{R}\left(\frac{1}{T} - \frac{1}{T_i}\right)\right]",
                r"f = (1 - S) \frac{\sum_i M_i X_i}{\sum_i M_i Z_i}, \quad X_i = \frac{Z_i}{1 + S (K_i - 1)}",
            ),
            where="model/fats.py",
            functions=("fat_curve",),
            terms=(
                "Ideal mixtures in equilibrium, one crystal form, acids at random. S share of the moles that is solid,"
                " Z and X mole shares of triglyceride i in all and in the liquid; T in kelvin."
            ),
            mark="from memory",
            source="ideal solution, flash of Rachford and Rice",
        ),
        Equation(
            number=5,
            name="Heat and point of melting of a triglyceride",
            formulas=(
                r"\Delta H_i = h n + h_0 + h_{xy} F + \sum_u h_u n_u",
                r"F = 2 - e^{-[(x - x_0)/K]^2} - e^{-(y/K)^2}",
                r"T_i = 401.15 (1 + a/n - a b/n^2)",
            ),
            where="model/triglycerides.py",
            functions=("melting_points_and_heats",),
            terms=(
                "n carbons in all; the outer acids have p and p + y, the middle one p + x; u are the unsaturated acids;"
                " a and b quadratic in x and y. h, K and their kin are figures of the crystal form, from memory. Good"
                " to 7 K for 16 and 18 carbons."
            ),
            mark="published",
            source="Wesdorp, as in Moorthy et al. 2016",
        ),
        Equation(
            number=6,
            name="Fragrance oil moves the curve down",
            formulas=(r"\Delta T = \frac{R T^2 X}{M L}, \quad L \rightarrow (1 - Y) L",),
            where="model/materials.py",
            functions=("with_fragrance",),
            terms="X mole share and Y mass share of oil, all of it in the liquid; T in kelvin.",
            mark="from memory",
            source="van 't Hoff's law; the molar masses are estimates",
        ),
        Equation(
            number=7,
            name="Kirchhoff potential",
            formulas=(r"\theta(T) = \int_{0}^{T} k dT^{\prime}, \quad k = k_s + (k_l - k_s) f",),
            where="model/freezing.py",
            functions=("enthalpy_table",),
            terms="An effectively mixed melt has a multiple of its k where it circulates.",
            mark="definition",
        ),
    ),
)

_CELLS = Chapter(
    title="Cells",
    equations=(
        Equation(
            number=8,
            name="Finite volumes",
            formulas=(r"V_i \frac{dH_i}{dt} = \sum_j G_{ij} (T_j - T_i) + \sum Q + V_i (s_i + q_i)",),
            where="solve/network.py",
            functions=("build",),
            terms="j are the four neighbours, Q what comes in through outer faces (16). A ring may exist in part only.",
            mark="definition",
        ),
        Equation(
            number=9,
            name="Conductance between two cells",
            formulas=(
                r"\frac{1}{G_{ij}} = \frac{\ln(r_f/r_i)}{2 \pi k_i \Delta z} + \frac{1}{h_c A}"
                r" + \frac{\ln(r_j/r_f)}{2 \pi k_j \Delta z}",
                r"\frac{1}{G_{ij}} = \frac{\Delta z_i}{2 k_i A} + \frac{1}{h_c A} + \frac{\Delta z_j}{2 k_j A}",
            ),
            where="solve/network.py",
            functions=("_half_conductances", "_pairs"),
            terms=(
                "Along r and along z; r_f is the face between them. A block about the axis has half cells of"
                " k A/(r_f − r), exact for a + b r²; a layered wall is exact in steady state."
            ),
            mark="definition",
        ),
        Equation(
            number=10,
            name="Conductance within the wax",
            formulas=(r"G_{ij} = g_{ij} \frac{\theta_j - \theta_i}{T_j - T_i}",),
            where="solve/network.py",
            functions=("Conductances",),
            terms="The secant; g is (9) for k = 1. With harmonic means a sharp front is met to first order only.",
            mark="definition",
        ),
    ),
)

_STEPS = Chapter(
    title="Steps",
    equations=(
        Equation(
            number=11,
            name="Alternating directions",
            formulas=(
                r"\frac{2 V}{\Delta t} (H^{\prime} - H^n) = J_r T^{\prime} + J_z T^n + V (s + q)",
                r"\frac{2 V}{\Delta t} (H^{n+1} - H^{\prime}) = J_r T^{\prime} + J_z T^{n+1} + V (s + q)",
            ),
            where="solve/stepper.py",
            functions=("Stepper.advance",),
            terms=(
                "J: flows of (8) along r and z, faces among them. Conductances, films and s are those of mid-step, led"
                " on from the last two steps. The flows of the linear systems are booked: heat is kept to round-off."
            ),
            mark="from memory",
            source="Peaceman and Rachford 1955",
        ),
        Equation(
            number=12,
            name="Newton on a line",
            formulas=(
                r"\left(\frac{2 V}{\Delta t} C + \sum_j G_{ij}\right) T_i - \sum_j G_{ij} T_j ="
                r" b_i - \frac{2 V}{\Delta t} H_0, \quad H = C T + H_0",
            ),
            where="solve/stepper.py",
            functions=("Stepper._solve",),
            terms=(
                "C and H_0 belong to the straight piece of (2) that the cell is on, b is all that is known. Symmetric"
                " and tridiagonal; again while a cell leaves its piece by more than a tenth of the tolerance."
            ),
            mark="definition",
        ),
        Equation(
            number=13,
            name="Both directions together, where there is metal",
            formulas=(
                r"V H^{n+1} = V \left[H^n + \frac{w^2}{1 + 2 w} (H^n - H^{n-1})\right]",
                r"\quad + \frac{1 + w}{1 + 2 w} \Delta t \left[(J_r + J_z) T^{n+1} + V (s + q)\right]",
            ),
            where="solve/whole.py",
            functions=("WholeStepper.advance",),
            terms="w: this step over the last, J of (11). From a diffusivity of 2e-6 m²/s on, where (11) would ring.",
            mark="from memory",
            source="backward differences, Gear 1971",
        ),
        Equation(
            number=14,
            name="Length of a step",
            formulas=(
                r"e = \frac{\Delta t}{\eta} \max\left(\sqrt{\langle \delta^2 \rangle},"
                r" \frac{1}{30} \max \delta\right), \quad \delta = \frac{P - P_x}{C_0}",
                r"\Delta t_{next} = 0.9 e^{-1/3} \Delta t",
            ),
            where="solve/integrate.py",
            functions=("_Course.accepts",),
            terms=(
                "η tolerance [K], P rate of H over the step, P_x that expected from the last two; C_0 the smaller ρ "
                "c. Mean over the wax, maximum of the size over all. Kept for e up to 2; 0.2 to 1.6 times as long "
                "next. Shorter, too, where a node swings or a temperature bends, as the last liquid goes, and than "
                "0.45 t_m."
            ),
            mark="this project",
        ),
        Equation(
            number=15,
            name="Stirring of the melt",
            formulas=(r"s = \frac{B - H}{t_m}, \quad B(z) = \frac{1}{U} \int_{U_0}^{U_0 + U} H_a(v) dv",),
            where="solve/mixing.py",
            functions=("Stirring",),
            terms=(
                "Wax of f above f(0.44 Pa) of (36), or melt.flows_above. H_a: its enthalpy sorted, over the volume v "
                "from the floor; U volume of the level at z, U_0 of those below. −H/t_m is implicit; the sum is zero."
            ),
            mark="this project",
            source="held to a resolved flow computation",
        ),
    ),
)

_FACES = Chapter(
    title="Faces and films",
    equations=(
        Equation(
            number=16,
            name="Heat in through an outer face",
            formulas=(
                r"Q = \frac{(h + h_r) A (T_o - T) + \omega A}{1 + (h + h_r) A/g}, \quad"
                r" T_o = \frac{h T_a + h_r T_v}{h + h_r}",
            ),
            where="solve/exchange.py",
            functions=("Surroundings.exchange",),
            terms="g: conductance from the cell's middle; ω a given flux [W/m²]. h by the faces' mean temperature.",
            mark="definition",
        ),
        Equation(
            number=17,
            name="Radiation",
            formulas=(r"h_r = \epsilon \sigma (T^2 + T_v^2)(T + T_v)",),
            where="model/radiation.py",
            functions=("radiation_film",),
            terms="The full fourth-power law, in kelvin; grey and diffuse.",
            mark="definition",
            source="Stefan and Boltzmann",
        ),
        Equation(
            number=18,
            name="Wax through the mouth of the jar",
            formulas=(
                r"\epsilon_m = \frac{1}{1/\epsilon - 1 + 2/(1 + F)}",
                r"F = \frac{1}{2}\left[x - \sqrt{x^2 - 4 y}\right], \quad x = 1 + y + (d/r_1)^2,"
                r" \quad y = (r_2/r_1)^2",
            ),
            where="model/radiation.py",
            functions=("mouth_exchange_factor", "view_factor_coaxial_discs"),
            terms="F: view from a disc of r_1 to one of r_2 at a distance d. The glass above passes all on.",
            mark="from memory",
            source="Bergman et al. 2011; Howell's catalogue, C-41",
        ),
        Equation(
            number=19,
            name="Between round walls",
            formulas=(
                r"\epsilon_{12} = \left[\frac{1}{\epsilon_1} + \frac{A_1}{A_2}"
                r"\left(\frac{1}{\epsilon_2} - 1\right)\right]^{-1}",
            ),
            where="model/surfaces.py",
            functions=("emissivity_between",),
            terms="Per area of the inner wall 1.",
            mark="from memory",
            source="Bergman et al. 2011",
        ),
        Equation(
            number=20,
            name="From the mouth to the open top of a box",
            formulas=(r"F_o = F + \left[\frac{1}{1 - F} + \frac{A_1}{A_2 - A_1 F}\right]^{-1}",),
            where="model/surfaces.py",
            functions=("opening_exchange",),
            terms="F of (18) from mouth 1 to opening 2; the board between passes on what it gets.",
            mark="definition",
        ),
        Equation(
            number=21,
            name="Numbers of a film",
            formulas=(
                r"h = \mathrm{Nu} \frac{k}{l}, \quad"
                r" \mathrm{Ra} = \frac{g \beta \Delta T l^3}{\nu \alpha}, \quad \mathrm{Pr} = \frac{\nu}{\alpha}",
            ),
            where="model/air.py",
            functions=("rayleigh_of",),
            terms="Properties of air, water or melt at the mean of both temperatures; g is gravity.",
            mark="definition",
        ),
        Equation(
            number=22,
            name="Upright wall",
            formulas=(
                r"\mathrm{Nu} = 0.68 + \frac{0.670 \mathrm{Ra}^{1/4}}{[1 + (0.492/\mathrm{Pr})^{9/16}]^{4/9}}",
                r"\mathrm{Nu} = \left(0.825 + \frac{0.387 \mathrm{Ra}^{1/6}}"
                r"{[1 + (0.492/\mathrm{Pr})^{9/16}]^{8/27}}\right)^2",
            ),
            where="model/films.py",
            functions=("film_on_upright_wall",),
            terms=(
                "l: height. The first up to Ra 1e9, going over into the second by 1.7e9. A cylinder has 1 + b times as"
                " much, b by its slenderness and Pr."
            ),
            mark="open library",
            source="Churchill and Chu 1975; Popiel et al. 2007",
        ),
        Equation(
            number=23,
            name="Level face",
            formulas=(
                r"\mathrm{Nu} = 0.54 \mathrm{Ra}^{1/4}, \quad 0.15 \mathrm{Ra}^{1/3} \quad (\mathrm{Ra} \geq 10^7)",
                r"\mathrm{Nu} = 0.27 \mathrm{Ra}^{1/4}",
            ),
            where="model/films.py",
            functions=("film_on_face_up", "film_on_face_down"),
            terms="l = D/4. Warm and looking up, or cold and down; the last where the air is held. Never below 2/π.",
            mark="open library",
            source="McAdams 1954",
        ),
        Equation(
            number=24,
            name="Moving air",
            formulas=(
                r"\mathrm{Nu} = 0.3 + \frac{0.62 \mathrm{Re}^{1/2} \mathrm{Pr}^{1/3}}"
                r"{[1 + (0.4/\mathrm{Pr})^{2/3}]^{1/4}}"
                r"\left[1 + \left(\frac{\mathrm{Re}}{282000}\right)^{5/8}\right]^{4/5}",
                r"\mathrm{Nu} = 0.664 \mathrm{Re}^{1/2} \mathrm{Pr}^{1/3}, \quad"
                r" h = (h_{free}^3 + h_{forced}^3)^{1/3}",
            ),
            where="model/films.py",
            functions=("film_across_cylinder", "film_along_plate", "combined_film"),
            terms="Across the wall; along the top, turbulent above Re 5e5; with free convection. l = D.",
            mark="open library",
            source="Churchill and Bernstein 1977; Bergman et al. 2011",
        ),
        Equation(
            number=25,
            name="Upright gap",
            formulas=(
                r"\mathrm{Nu} = \max\left[0.0605 \mathrm{Ra}^{1/3}, (1 + x^3)^{1/3},"
                r" 0.242 \left(\mathrm{Ra} \frac{l}{H}\right)^{0.272}\right]",
                r"x = 0.104 \mathrm{Ra}^{0.293} / [1 + (6310/\mathrm{Ra})^{1.36}]",
            ),
            where="model/air_spaces.py",
            functions=("film_in_upright_gap",),
            terms="l: width, H here the height; measured from H/l = 5 on, a jar in a box has 3 to 8.",
            mark="from memory",
            source="ElSherbiny et al. 1982",
        ),
        Equation(
            number=26,
            name="Level layer of air",
            formulas=(
                r"\mathrm{Nu} = 1 + 1.44 \max(0, 1 - 1708/\mathrm{Ra})",
                r"\quad + \max[0, (\mathrm{Ra}/5830)^{1/3} - 1]",
            ),
            where="model/air_spaces.py",
            functions=("film_in_level_layer",),
            terms="l: depth. 1 where the upper face is the warmer, or Ra is below 1708.",
            mark="from memory",
            source="Hollands et al. 1975, 1976",
        ),
        Equation(
            number=27,
            name="Lid",
            formulas=(r"\frac{1}{h} = \frac{1}{h_1 + h_{r1}} + \frac{d}{k} + \frac{1}{h_2 + h_{r2}}",),
            where="model/surfaces.py",
            functions=("lid_top",),
            terms="Air under the lid (26), lid of thickness d, air above (23, 24); it holds no heat.",
            mark="definition",
        ),
        Equation(
            number=28,
            name="Air through the open top of a box",
            formulas=(r"G = 0.055 \rho c \sqrt{g \beta (T_i - T_o) D^5}",),
            where="model/air_spaces.py",
            functions=("exchange_through_opening",),
            terms="Of air; g is gravity, D the diameter of the opening; none if the inside is the colder.",
            mark="from memory",
            source="Epstein 1988, Brown 1962",
        ),
    ),
)

_BOX = Chapter(
    title="Box of jars",
    equations=(
        Equation(
            number=29,
            name="Gap beside the jar",
            formulas=(r"\frac{1}{G_{ij}} = \frac{1}{g_i} + \frac{1}{(h + h_r) A} + \frac{1}{g_j}",),
            where="solve/stepper.py",
            functions=("_Gaps.conductances",),
            terms="Level by level, closed at the top; g half cells, h of (25); films by the last mean of each face.",
            mark="definition",
        ),
        Equation(
            number=30,
            name="Nodes: air, flaps, what stands between jars",
            formulas=(
                r"\frac{N}{\Delta t} (T^{n+1} - T^n) = \frac{W}{\Delta t} + \sum_f h A (T_f - T^{n+1})",
                r"\quad + \sum_m G_m (T_m^{n+1} - T^{n+1})",
            ),
            where="solve/exchange.py",
            functions=("Surroundings._step_nodes",),
            terms=(
                "N heat capacity, h by film or radiation, f faces where they are expected, m other nodes and the room."
                " W is owed: what the faces really gave in the last step, less what was booked; none is lost."
            ),
            mark="definition",
        ),
        Equation(
            number=31,
            name="Between two jars, to the middle",
            formulas=(r"h = 2 [h_g(T, 2 T_m - T) + h_r(T, 2 T_m - T)]",),
            where="model/boxed.py",
            functions=("_across_air",),
            terms=(
                "h_g of (25) over the whole gap. With a divider: gap and half the divider. Places of one kind exchange"
                " nothing."
            ),
            mark="definition",
        ),
        Equation(
            number=32,
            name="A square cell as a ring",
            formulas=(r"r_b = 2 a/\pi, \quad r_b = \sqrt{A_c/\pi}",),
            where="model/boxed.py",
            functions=("_cell",),
            terms=(
                "A ring as long as four sides of length a, where the cell has walls (a share of the ring), else a disc"
                " of its area. Each kind of place is one section, counted as often as it has jars."
            ),
            mark="definition",
        ),
    ),
)

_TOP = Chapter(
    title="Softness and the top",
    equations=(
        Equation(
            number=33,
            name="Specific volume",
            formulas=(
                r"v = f v_l + (1 - f) v_s, \quad v_l = 1 + \beta_l (T - T_r)",
                r"v_s = v_{20} [1 + \beta_s (T - 20)]",
                r"v_{20} = \frac{1 - \Sigma - f_{20} v_l(20)}{1 - f_{20}}",
            ),
            where="model/volume.py",
            functions=("VolumeLaw", "volume_law"),
            terms="Relative to the liquid at T_r. Σ total shrinkage to 20 °C, where f_20 is still liquid.",
            mark="definition",
        ),
        Equation(
            number=34,
            name="Mass that is fed from the surface",
            formulas=(r"m = \sum_{fed} V \phi (1 - \psi) \left(\frac{1}{v^{n+1}} - \frac{1}{v^n}\right)",),
            where="solve/shrinkage.py",
            functions=("_Bodies.contract",),
            terms=(
                "Fed: wax with any liquid and τ up to 0.4 p_c. φ share of the cell still there, ψ share of void. What"
                " was void in wax that becomes fed is filled again."
            ),
            mark="this project",
        ),
        Equation(
            number=35,
            name="Stiffer wax",
            formulas=(r"1 - \psi^{n+1} = (1 - \psi^n) \frac{v^{n+1}}{v^n}",),
            where="solve/shrinkage.py",
            functions=("_Bodies.contract",),
            terms="ψ of (34): void stays where it arises. What is solid throughout shrinks instead, off the glass.",
            mark="this project",
        ),
        Equation(
            number=36,
            name="Yield stress of mush",
            formulas=(r"\tau = A_0 [\max(0, 1 - s_0 - f)]^m", r"f(\tau) = \max[0, 1 - s_0 - (\tau/A_0)^{1/m}]"),
            where="model/softness.py",
            functions=("Softness.yield_stress", "Softness.liquid_at"),
            terms=(
                "A_0 stiffness, s_0 solid share at which it gels, m exponent. The second tells when wax no longer gives"
                " way to a stress."
            ),
            mark="estimate",
            source="through published points for fats",
        ),
        Equation(
            number=37,
            name="How much a column sinks",
            formulas=(
                r"w = \max[0, \max(E, 10)^{-5/3} - (0.4 p_c)^{-5/3}]",
                r"\ln E = \frac{1}{Z} \int_0^Z \ln\max(\tau, 1) dz",
                r"W(r) = \frac{\int w K dA^{\prime}}{\int K dA^{\prime}}",
                r"K = e^{-(r - r^{\prime})^2/2 b^2}, \quad b = (0.02 + 0.075 \lambda) d",
            ),
            where="solve/shrinkage.py",
            functions=("_Bodies._softness_of_columns",),
            terms=(
                "Stresses in Pa; Z height of the column, d depth of the pour. λ goes with the logarithm of the least E"
                " from 0 at 10 Pa to 1 at 0.4 p_c. If no column is soft, those with a soft top sink instead."
            ),
            mark="this project",
            source="fitted to 31 resolved cases of a creeping mush",
        ),
        Equation(
            number=38,
            name="Sinking",
            formulas=(
                r"\Delta h = \frac{m W}{\int W \rho_0 dA}, \quad"
                r" \phi^{n+1} = \phi^n e^{-x (\tau_0/\tau)^{5/3}}",
            ),
            where="solve/shrinkage.py",
            functions=("_Bodies._sink",),
            terms=(
                "m and φ of (34), W of (37). Each column gives from where it is softest, τ_0; x is such that it gives"
                " Δh; ρ_0 is relative. What no column can give becomes void, in the softest and highest place."
            ),
            mark="this project",
            source="as (37)",
        ),
    ),
)

_ANSWERS = Chapter(
    title="Answers and ledger",
    equations=(
        Equation(
            number=39,
            name="When something happens",
            formulas=(r"t = t_1 + (t_2 - t_1) \frac{H_1 - H_x}{H_1 - H_2}",),
            where="solve/wax_body.py",
            functions=("last_above",),
            terms=(
                "The last crossing. H_x at the f(τ) of (36) for the stress of a fingertip, a wick, a jar that is"
                " carried; 3 K above the room for cool."
            ),
            mark="definition",
        ),
        Equation(
            number=40,
            name="Ledger of heat",
            formulas=(r"\Omega = \frac{1}{E_m} \max_t [E(0) - E(t) - Q_o(t)]",),
            where="solve/events.py",
            functions=("close_ledger",),
            terms=(
                "Ω open share, by size; E heat in cells and nodes, and owed; Q_o what went to the room; E_m what was"
                " turned over."
            ),
            mark="definition",
        ),
    ),
)

_HOT = Chapter(
    title="Hot air, and the pitcher in its bath",
    equations=(
        Equation(
            number=41,
            name="Melted depth, and its level",
            formulas=(
                r"\delta = \int \min\left[1, \max\left(0, \frac{f - f(1000)}{f(9) - f(1000)}\right)\right] dz",
                r"\int \max(0, Y - y + \delta) dA = \int \delta dA",
            ),
            where="studies/repair/melted_top.py",
            functions=("melted_depth", "stands_over_melt"),
            terms="f(τ) of (36) at stresses in Pa; y the set top, Y the level; less what runs into the cavity.",
            mark="this project",
        ),
        Equation(
            number=42,
            name="Air off: melt goes back to the freezing curve",
            formulas=(r"f = f_k + x (1 - f_k), \quad H = H_s(T) + f [H_l(T) - H_s(T)]",),
            where="studies/repair/heating.py",
            functions=("_by_freezing",),
            terms="x share that has melted, f_k liquid share before; temperatures are kept.",
            mark="this project",
        ),
        Equation(
            number=43,
            name="Pitcher in the bath",
            formulas=(
                r"-\frac{dm}{dt} = \frac{A_h h_h (T - T_c) + A_d u_d (T_w - T_c)}{\Delta H}",
                r"y c_l \frac{dT}{dt} = A_w u_w (T_w - T) - A_h h_h (T - T_c) + \frac{dm}{dt} c_l (T - T_c)",
            ),
            where="studies/workshop/melting.py",
            functions=("_melt",),
            terms=(
                "m flakes, y melt, both of one temperature; heap h, wetted wall w, dry wall d that flakes touch; u the"
                " water's film and the inner one (22, second form; stirred; contact) in series; ΔH from cold to clear."
            ),
            mark="estimate",
        ),
    ),
)

_STUDIES = Chapter(
    title="Many runs",
    equations=(
        Equation(
            number=44,
            name="Draws of a spread",
            formulas=(r"x = a + b \sqrt{u y} \quad (u \leq y)", r"x = a + b - b \sqrt{(1 - u)(1 - y)}"),
            where="studies/spread/inputs.py",
            functions=("value_at_level",),
            terms="Triangle from a to a + b, highest at a + b y, the scenario's own value; u scrambled Sobol.",
            mark="estimate",
        ),
        Equation(
            number=45,
            name="Main effects",
            formulas=(
                r"y = a + \sum_i \sum_n b_{in} P_n(2 u_i - 1), \quad"
                r" S_i = \frac{\mathrm{Var}[\sum_n b_{in} P_n] - N e^2/x}{\mathrm{Var}[y]}",
            ),
            where="studies/spread/influence.py",
            functions=("main_effects",),
            terms=(
                "y answer, P Legendre polynomials up to N, u of (44), a and b by least squares; x runs, e² variance "
                "of what is left."
            ),
            mark="from memory",
            source="Sudret 2008, Sobol 1993",
        ),
        Equation(
            number=46,
            name="Cost of a fit",
            formulas=(
                r"\chi^2 = \sum_j \left(\frac{y_j - Y_j}{e_j}\right)^2 + \sum_i p_i^2, \quad"
                r" e_j^2 = N e^2 + x_j^2",
            ),
            where="studies/fit/estimate.py",
            functions=("estimate", "deviation_of"),
            terms=(
                "y computed, Y measured, p in standard deviations of its prior; N of (47), e scatter of the probe, x "
                "what 0.5 % of the time does to the reading."
            ),
            mark="from memory",
            source="Tarantola 2005",
        ),
        Equation(
            number=47,
            name="Readings that err together",
            formulas=(r"N = 1 + 2 \sum_n C_n",),
            where="studies/fit/estimate.py",
            functions=("_readings_for_one",),
            terms="C autocorrelation of the residuals over n readings; cut where a pair of neighbours falls below 0.",
            mark="from memory",
            source="Geyer 1992",
        ),
        Equation(
            number=48,
            name="Intervals of a fit",
            formulas=(r"y_j \approx a_j + b_j p + p C_j p, \quad w \propto e^{-\chi^2/2}",),
            where="studies/fit/left_open.py",
            functions=("left_open",),
            terms=(
                "2.5 and 97.5 % quantiles of draws of p, w their weight, χ² of (46); a, b, C: a surface through some "
                "45 runs for each datum y."
            ),
            mark="from memory",
            source="Box and Wilson 1951; Goodman and Weare 2010",
        ),
        Equation(
            number=49,
            name="Numerical uncertainty",
            formulas=(
                r"x_{21}^p \frac{x_{32}^p - 1}{x_{21}^p - 1} = \frac{y_3 - y_2}{y_2 - y_1}, \quad"
                r" y_0 = y_1 + \frac{y_1 - y_2}{x_{21}^p - 1}",
            ),
            where="studies/checks/grid_error.py",
            functions=("observed_order", "extrapolated"),
            terms=(
                "y on grids 1 (finest) to 3, x ratios of their cells, p order, 2 unless observed. Stated: y_1 − y_0 "
                "times 3, with an observed order 1.25."
            ),
            mark="published",
            source="Celik et al. 2008; ASME V&V 20-2009",
        ),
    ),
)

THEORY: tuple[Chapter, ...] = (_WAX, _CELLS, _STEPS, _FACES, _BOX, _TOP, _ANSWERS, _HOT, _STUDIES)
"""All equations."""

EQUATIONS: tuple[Equation, ...] = tuple(one for chapter in THEORY for one in chapter.equations)
"""All equations, one after the other."""

NOMENCLATURE: tuple[Symbol, ...] = (
    Symbol(r"A", "area", "m²"),
    Symbol(r"c", "heat capacity", "J/kg/K"),
    Symbol(r"D", "diameter", "m"),
    Symbol(r"f", "liquid share, by mass", "-"),
    Symbol(r"G", "conductance", "W/K"),
    Symbol(r"H", "enthalpy", "J/m³"),
    Symbol(r"h", "film coefficient", "W/m²/K"),
    Symbol(r"h_c", "contact conductance", "W/m²/K"),
    Symbol(r"h_r", "coefficient of radiation", "W/m²/K"),
    Symbol(r"k", "conductivity", "W/m/K"),
    Symbol(r"L", "latent heat", "J/kg"),
    Symbol(r"l", "length of a film law", "m"),
    Symbol(r"M", "molar mass", "kg/mol"),
    Symbol(r"p_c", "suction that wax bears", "Pa"),
    Symbol(r"Q", "heat in through a face", "W"),
    Symbol(r"q", "heat of a given source", "W/m³"),
    Symbol(r"R", "gas constant", "J/mol/K"),
    Symbol(r"r", "radius", "m"),
    Symbol(r"s", "heat that the melt brings", "W/m³"),
    Symbol(r"T", "temperature", "°C"),
    Symbol(r"T_a", "of the air at a face", "°C"),
    Symbol(r"T_c", "clear point", "°C"),
    Symbol(r"T_e", "end of freezing", "°C"),
    Symbol(r"T_s", "start of freezing", "°C"),
    Symbol(r"T_v", "of what a face sees", "°C"),
    Symbol(r"T_w", "of the water", "°C"),
    Symbol(r"t", "time from the pour", "s"),
    Symbol(r"\Delta t", "time step", "s"),
    Symbol(r"t_m", "time to settle, of melt", "s"),
    Symbol(r"V", "volume of a cell", "m³"),
    Symbol(r"v", "specific volume, relative", "-"),
    Symbol(r"z", "height", "m"),
    Symbol(r"\alpha", "thermal diffusivity", "m²/s"),
    Symbol(r"\beta", "expansion by volume", "1/K"),
    Symbol(r"\epsilon", "emissivity", "-"),
    Symbol(r"\theta", "Kirchhoff potential", "W/m"),
    Symbol(r"\nu", "kinematic viscosity", "m²/s"),
    Symbol(r"\rho", "density", "kg/m³"),
    Symbol(r"\sigma", "constant of radiation", "W/m²/K⁴"),
    Symbol(r"\tau", "yield stress of mush", "Pa"),
    Symbol(r"\mathrm{Nu}", "Nusselt number", "-"),
    Symbol(r"\mathrm{Pr}", "Prandtl number", "-"),
    Symbol(r"\mathrm{Ra}", "Rayleigh number", "-"),
    Symbol(r"\mathrm{Re}", "Reynolds number", "-"),
)
"""What means the same throughout."""

INDICES = (
    "Indices: s solid, l liquid, i and j cells or kinds, n steps. Temperatures are in °C unless an equation says"
    " kelvin. What else an equation has it says itself."
)
"""Goes with the symbols."""

LEFT_OUT: tuple[LeftOut, ...] = (
    LeftOut(
        what="Supercooling, and the rate of crystallisation",
        effect=(
            "The curve (4) is one of equilibrium, the same at any rate. Real wax starts colder and gives its heat"
            " later, the more so the faster it cools. A curve 5 K lower: top closed 44 and 60 % later, fully set 21 and"
            " 33 % later, void 29 and 32 % less, the hole a tenth deeper at most, or shallower."
        ),
        cost="Likely the largest error of times. 7 K is that of a curve from acids; a fit to a log takes it up.",
        basis=(
            "computed; fats cooled fast start 16 to 22 K below full melting (doi:10.5650/jos.ess17168), in a jar it is"
            " unknown"
        ),
    ),
    LeftOut(
        what="Air that comes out of solution",
        effect=(
            "It takes away suction: a shallower hole, more void, the same times. At 30 kPa: hole 4.0 to 2.6 and 2.6 to"
            " 1.9 mm, void 4.9 to 5.9 and 4.8 to 5.8 mL."
        ),
        cost="A key (mush.suction), and one edge of the band of each verdict; where bubbles stand is unknown.",
        basis="computed; 30 kPa is an estimate",
    ),
    LeftOut(
        what="Wax that lets go of the glass",
        effect=(
            "A gap that insulates. With 0.1 mm of air round the wax from the pour on: top closed 3 and 6 %, fully set 4"
            " and 4 %, cool 5 and 5 % later. It opens late and in places, so less."
        ),
        cost="Times: a few per cent at most. Wet spots, and a rim that slips: not computed.",
        basis="computed; the width is an estimate",
    ),
    LeftOut(
        what="Wick and its tab",
        effect=(
            "Two thousandths of the area: no heat to speak of. Melt climbs it, within 2 mm (the capillary length), so"
            " the hole is narrower there."
        ),
        cost="Times: below 1 %. Shape of the top next to the wick: unknown.",
        basis="estimate",
    ),
    LeftOut(
        what="Colour",
        effect=(
            "Some per mille of dye move freezing far less than 8 % of oil do (2 K). Emissivity is one of infrared; 0.05"
            " less would close the top 1.4 and 1.7 % later."
        ),
        cost="Times: below 2 %. Mottling and fading: not computed.",
        basis="computed; what dye does is an estimate",
    ),
    LeftOut(
        what="Frost, and the change to the stable form",
        effect=(
            "Crystals of the stable form grow on top and glass for hours to weeks. Up to 34 kJ/kg come beside the 128"
            " of soft vegetable wax; within the run they would make all times longer."
        ),
        cost="Looks: not computed, not even whether. Times: unknown.",
        basis="heats as in the catalogue; how long is common practice, no source; the rest is unknown",
    ),
    LeftOut(
        what="The pour itself",
        effect=(
            "The jar is full at once, at one temperature. Wax 1 K colder than stated: top closed 2 and 3 %, fully set 1"
            " and 2 % earlier."
        ),
        cost="Little, if the temperature is that of the wax in the jar.",
        basis="computed; 1 K is an estimate",
    ),
)
"""What the model does not have."""

LEFT_OUT_NOTE = "Pairs of figures are computed with the built-in tumbler, bare and boxed."
"""Goes with what is left out."""
