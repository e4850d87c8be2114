"""Every public number of the package says its unit in its docstring, in brackets; `[-]` if it has none.

What stands in `coolsim/__init__.pyi` describes each parameter by itself; the rest may say its units in a sentence.
"""

import dataclasses
import importlib
import inspect
import pkgutil
import re
import types
import typing

import coolsim

NUMBERS = (float, int)
SECTION = re.compile(r"^\s*(Parameters|Attributes|Other Parameters)\s*\n\s*-+\s*$", re.MULTILINE)
OTHER_SECTION = re.compile(r"^\s*[A-Z][A-Za-z ]+\n\s*-{3,}\s*$", re.MULTILINE)
ENTRY = re.compile(r"^(?P<names>\*{0,2}\w+(?:, \*{0,2}\w+)*)\s*(?::.*)?$")
ITEM = re.compile(r"^- (?P<names>`\w+`(?:, `\w+`)*)(?P<rest>.*(?:\n  .*)*)", re.MULTILINE)
UNIT = re.compile(r"\[[^\]\s][^\]]*\]")


def entries(docstring):
    """The parameters and attributes that a docstring describes, in numpydoc or in a list: name -> description."""
    text = inspect.cleandoc(docstring)
    found = {name: item["rest"] for item in ITEM.finditer(text) for name in re.findall(r"\w+", item["names"])}
    for section in SECTION.finditer(text):
        rest = text[section.end() :]
        end = OTHER_SECTION.search(rest)
        names = ()
        for line in rest[: end.start() if end else None].splitlines():
            entry = ENTRY.match(line)
            if entry:
                names = entry["names"].replace("*", "").split(", ")
            for name in names:
                found[name] = f"{found.get(name, '')}\n{line}"
    return found


def is_number(annotation):
    """Whether a value of this type is a plain number, or one of several things of which one is a number."""
    if annotation in NUMBERS:
        return True
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        return any(is_number(part) for part in typing.get_args(annotation))
    if typing.get_origin(annotation) is typing.Annotated:
        return is_number(typing.get_args(annotation)[0])
    return False


def missing_units(documented, numbers, *, brief=False):
    """Names of numbers without a bracketed unit in a docstring, or in its sentences where it lists no parameters."""
    described = entries(documented or "")
    if brief and not described:
        return [] if UNIT.search(documented or "") else numbers
    return [name for name in numbers if not UNIT.search(described.get(name, ""))]


def hints(thing):
    return {name: hint for name, hint in typing.get_type_hints(thing).items() if name != "return"}


def faults_of(thing, where, *, brief=False):
    """Lines "where.name" for each number of a function or class that does not say its unit."""
    faults = []
    if inspect.isclass(thing):
        if dataclasses.is_dataclass(thing) or hasattr(thing, "_fields"):
            numbers = [name for name, hint in hints(thing).items() if is_number(hint) and not name.startswith("_")]
            faults += [f"{where}.{name}" for name in missing_units(thing.__doc__, numbers, brief=brief)]
        elif "__init__" in vars(thing):
            # numpydoc: what __init__ takes is described in the docstring of the class.
            numbers = [name for name, hint in hints(thing.__init__).items() if is_number(hint)]
            faults += [f"{where}.{name}" for name in missing_units(thing.__doc__, numbers, brief=brief)]
        for name, member in vars(thing).items():
            if inspect.isfunction(member) and not name.startswith("_"):
                faults += faults_of(member, f"{where}.{name}", brief=brief)
    elif inspect.isfunction(thing):
        numbers = [name for name, hint in hints(thing).items() if is_number(hint)]
        faults += [f"{where}({name})" for name in missing_units(thing.__doc__, numbers, brief=brief)]
    return faults


def module_names():
    return [
        "coolsim",
        *(
            found.name
            for found in pkgutil.walk_packages(coolsim.__path__, "coolsim.")
            if not found.name.endswith("__main__")
        ),
    ]


# Commands describe their options in the help text and take units in the values; tests/cli checks them.
COMMANDS = "coolsim.cli"


def test_every_public_number_says_its_unit():
    faults = []
    for module_name in module_names():
        if not module_name.startswith(COMMANDS):
            for name, thing in vars(importlib.import_module(module_name)).items():
                if not name.startswith("_") and getattr(thing, "__module__", None) == module_name:
                    faults += faults_of(thing, f"{module_name}.{name}", brief=name not in coolsim._HOMES)
    assert not faults, "no unit in brackets ([-] if it has none):\n" + "\n".join(faults)


def test_every_module_says_what_it_is_for():
    silent = [name for name in module_names() if not (importlib.import_module(name).__doc__ or "").strip()]
    assert len(module_names()) > 100
    assert silent == []


def _with_units(height: float, count: int, name: str, width: float | None = None):
    """Do nothing.

    Parameters
    ----------
    height, width : float
        Size [m].
    count : int
        How many [-].
    name : str
        What it is called.
    """


def _in_a_sentence(height: float):
    """Do nothing with a height [m]."""


def _without_units(height: float, count: int, width: float | None = None):
    """Do nothing.

    Parameters
    ----------
    height : float
        Size.
    width : float, optional
        Size in metres.

    Notes
    -----
    count : not a parameter [m].
    """


def _in_a_list(height: float, width: float):
    """Do nothing.

    - `height` (n,): Size, on two
      lines [m].
    - `width`: Size.
    """


@dataclasses.dataclass
class _Fields:
    """A class.

    Attributes
    ----------
    height : float
        Size.
    width : float
        Size [m].
    """

    height: float
    width: float
    name: str

    def area(self, scale: float):
        """Do nothing."""


def test_this_check_accepts_units_and_finds_what_lacks_them():
    assert faults_of(_with_units, "f") == []
    assert faults_of(_without_units, "f") == ["f(height)", "f(count)", "f(width)"]
    assert faults_of(_Fields, "C") == ["C.height", "C.area(scale)"]
    assert faults_of(_in_a_sentence, "f") == ["f(height)"]
    assert faults_of(_in_a_sentence, "f", brief=True) == []
    assert faults_of(_in_a_list, "f", brief=True) == ["f(width)"]
    assert faults_of(_without_units, "f", brief=True) == ["f(height)", "f(count)", "f(width)"]
    assert faults_of(_Fields, "C", brief=True) == ["C.height", "C.area(scale)"]
