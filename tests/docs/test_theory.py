"""The theory is that of the code: equations are cited where they are held, can be read, and explain their symbols."""

import importlib
import inspect
import re
from pathlib import Path

import pytest
import theory
from matplotlib.mathtext import MathTextParser

import coolsim
from coolsim.theory import EQUATIONS, MARKS, NOMENCLATURE, THEORY

PACKAGE = Path(coolsim.__file__).parent
RENEW = "run `python tests/support/theory.py`"
CITED = re.compile(r"[Ee]quations? (\(\d+\)(?:(?:,| and|, and) \(\d+\))*)")
# What Markdown would take for its own before the formula is read: escapes, bars of tables, emphasis, tags, links.
NOT_ON_GITHUB = re.compile(r"\\[^A-Za-z]|[|*<>&#~$]|[^A-Za-z0-9]_|\]\(")
GREEK = {
    "alpha": "α", "beta": "β", "delta": "δ", "epsilon": "ε", "eta": "η", "theta": "θ", "lambda": "λ", "nu": "ν",
    "rho": "ρ", "sigma": "σ", "tau": "τ", "phi": "φ", "chi": "χ", "psi": "ψ", "omega": "ω", "Omega": "Ω", "Sigma": "Σ",
}  # fmt: skip
NO_SYMBOLS = {"partial", "Delta", "frac", "left", "right", "int", "sum", "sqrt", "max", "min", "ln", "exp", "quad",
              "prime", "langle", "rangle", "leq", "geq", "approx", "propto", "rightarrow", "pi"}  # fmt: skip
FORMULAS = [formula for one in EQUATIONS for formula in one.formulas]


def cited(text):
    """The numbers of equations that a text cites."""
    return {int(number) for group in CITED.findall(text) for number in re.findall(r"\d+", group)}


def held_in(equation):
    """The functions that an equation names."""
    module = importlib.import_module("coolsim." + equation.where.removesuffix(".py").replace("/", "."))
    for name in equation.functions:
        thing = module
        for part in name.split("."):
            thing = inspect.getattr_static(thing, part)
        yield thing


def symbols(formula):
    """The symbols of a formula without indices and powers: those it defines, and all."""
    rest = re.sub(r"\\mathrm\{\w+\}", " ", formula)
    powers = re.compile(r"[_^](\{[^{}]*\}|\\?\w)")
    # From the inside out, for there are powers of powers; what stands in a power of e counts.
    rest = re.sub(r"e\^\{(-[^{}]*(?:\{[^{}]*\}[^{}]*)*)\}", r"(\1)", rest)
    while powers.search(rest):
        rest = powers.sub("", rest)
    # The d of a differential.
    rest = re.sub(r"(?<![A-Za-z\\])d(?=[A-Za-z])", " ", rest)
    found, defined = [], []
    for one in re.finditer(r"\\([A-Za-z]+)|([A-Za-z])", rest):
        name = one[1] or one[2]
        if one[1] in NO_SYMBOLS:
            continue
        symbol = GREEK[name] if one[1] else name
        found.append(symbol)
        before, after = rest[: one.start()], rest[one.end() :]
        if re.search(r"(^|\\quad)\s*$", before) and re.match(r"(\(\S*\))? =", after):
            defined.append(symbol)
    return defined, found


def test_equations_are_numbered_in_their_order():
    assert [one.number for one in EQUATIONS] == list(range(1, len(EQUATIONS) + 1))
    assert len(EQUATIONS) > 40
    assert len({one.name for one in EQUATIONS}) == len(EQUATIONS)
    assert {one.mark for one in EQUATIONS} == set(MARKS)


def test_what_has_a_source_names_it():
    without = {one.mark for one in EQUATIONS if not one.source}
    assert without <= {"definition", "this project", "estimate"}


@pytest.mark.parametrize("equation", EQUATIONS, ids=lambda one: str(one.number))
def test_every_equation_is_cited_by_the_functions_that_hold_it(equation):
    for thing in held_in(equation):
        assert equation.number in cited(inspect.getdoc(thing) or ""), (equation.where, equation.functions)


def test_every_number_that_is_cited_exists():
    numbers = {one.number for one in EQUATIONS}
    found = {path: cited(path.read_text(encoding="utf-8")) for path in PACKAGE.rglob("*.py")}
    assert set().union(*found.values()) == numbers
    told = [f"{one.terms} {one.source}" for one in EQUATIONS]
    assert {int(number) for text in told for number in re.findall(r"\((\d+)[,)]", text)} <= numbers


def test_references_of_docstrings_are_found():
    assert cited("Equation (7) of it. By equations (2), (3) and (12); equation 5 of Celik et al. (2008).") == {
        7,
        2,
        3,
        12,
    }


@pytest.mark.parametrize("formula", [*FORMULAS, *(one.formula for one in NOMENCLATURE)])
def test_matplotlib_and_github_read_every_formula(formula):
    MathTextParser("path").parse(f"${formula}$")
    assert NOT_ON_GITHUB.findall(formula) == []


@pytest.mark.parametrize("equation", EQUATIONS, ids=lambda one: str(one.number))
def test_every_symbol_is_explained(equation):
    general = {symbol for one in NOMENCLATURE for symbol in symbols(one.formula)[1]}
    found = [symbols(formula) for formula in equation.formulas]
    defined = {symbol for own, _ in found for symbol in own}
    told = set(re.findall(r"(?<![A-Za-z])[A-Za-zα-ωΣΩ](?![A-Za-z])", equation.terms))
    assert {symbol for _, every in found for symbol in every} - general - defined - told == set()


def test_symbols_are_those_of_the_formula():
    assert symbols(r"y = a_{in} + \frac{\rho}{2} e^{-[(x - x_0)/K]^2} T^{n+1} \mathrm{Ra} dT") == (
        ["y"], ["y", "a", "ρ", "x", "x", "K", "T", "T"]
    )  # fmt: skip


def test_the_nomenclature_lists_what_occurs_once():
    listed = [one.formula for one in NOMENCLATURE]
    assert len(set(listed)) == len(listed)
    whole = "\n".join(FORMULAS)
    assert [one for one in listed if not re.search(rf"(?<![A-Za-z]){re.escape(one)}(?![A-Za-z])", whole)] == []


def test_developers_md_shows_the_theory():
    assert theory.shown(theory.text()).strip() == theory.markdown().strip(), RENEW
    assert [one.title for one in THEORY] == re.findall(r"^### (.*)$", theory.markdown(), re.MULTILINE)[: len(THEORY)]
