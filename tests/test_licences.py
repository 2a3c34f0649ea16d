"""Everything a user installs with the package is under a permissive licence."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

PROJECT = Path(__file__).parents[1] / "pyproject.toml"
#: Licences that ask for no more than a notice (SPDX names, and how older packages spell them).
PERMISSIVE = ("mit", "bsd", "apache", "isc", "psf", "python software foundation", "0bsd", "zlib",
              "cc0", "unlicense")


def name_of(requirement: str) -> str:
    """Return the plain name in a requirement."""
    found = re.match(r"[A-Za-z0-9._-]+", requirement)
    assert found is not None, requirement
    return re.sub(r"[-_.]+", "-", found[0]).lower()


def everything_installed() -> dict[str, Distribution]:
    """Return each distribution that the package and its cluster extra bring along."""
    project = tomllib.loads(PROJECT.read_text("utf-8"))["project"]
    wanted = [name_of(each) for each in (*project["dependencies"], *project["optional-dependencies"]["dask"])]
    found: dict[str, Distribution] = {}
    while wanted:
        name = wanted.pop()
        if name in found:
            continue
        try:
            found[name] = distribution(name)
        except PackageNotFoundError:
            continue  # asked for on another system or by an extra nobody chose
        wanted += [name_of(each) for each in found[name].requires or () if "extra ==" not in each]
    return found


def licences_of(package: Distribution) -> list[str]:
    """Return the licences a package names, one to an entry."""
    said = package.metadata.get("License-Expression") or ""
    if said:
        return [part for part in re.split(r"\s+(?:AND|OR)\s+|[()]", said) if part.strip()]
    named = [each.split("::")[-1].strip() for each in package.metadata.get_all("Classifier") or ()
             if each.startswith("License ::")]
    return (named or [(package.metadata.get("License") or "").splitlines()[0]
                      if package.metadata.get("License") else ""])


def test_dependencies_are_permissive() -> None:
    """No package comes with a licence that binds those who pass a workbook on."""
    installed = everything_installed()

    assert {"openpyxl", "pandas", "jinja2", "typer", "pint", "ironcalc"} <= set(installed)
    assert {name: licences_of(each) for name, each in installed.items()
            if not all(any(known in said.lower() for known in PERMISSIVE)
                       for said in licences_of(each))} == {}


def test_a_binding_licence_would_be_noticed() -> None:
    """The check can fail: a copyleft licence is in none of the permissive families."""
    assert not any(known in "gnu general public license v3" for known in PERMISSIVE)
