"""What is built and installed is the whole of the folders, under the right names."""

import re
import subprocess
import sys
import tomllib
from functools import cache
from importlib.metadata import entry_points, version
from pathlib import Path, PurePosixPath
from typing import Any
from zipfile import ZipFile

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import knockon

ROOT = Path(__file__).resolve().parents[2]
SOURCES = {
    "knockon.graph": ROOT / "graph",
    "knockon.queries": ROOT / "queries",
    "knockon.data_demo": ROOT / "data_demo",
}
SHELL = ROOT / "queries" / "knockon"


@cache
def project_file() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def files_to_ship() -> dict[str, Path]:
    """The path in the wheel of each file that belongs there, with the file itself."""
    found = {f"knockon/{file.name}": file for file in SHELL.iterdir() if file.is_file()}
    for package, folder in SOURCES.items():
        for file in folder.rglob("*"):
            inside = file.relative_to(folder)
            if file.is_file() and "__pycache__" not in inside.parts and SHELL not in file.parents:
                found[f"{package.replace('.', '/')}/{inside.as_posix()}"] = file
    return found


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel built from a copy of the project, so that the checkout is left alone."""
    copy = tmp_path_factory.mktemp("project")
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        (copy / name).write_bytes((ROOT / name).read_bytes())
    for file in files_to_ship().values():
        target = copy / file.relative_to(ROOT)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(file.read_bytes())
    target = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--wheel-dir", str(target), "."]
    done = subprocess.run(build, cwd=copy, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = target.glob("*.whl")
    return built


def test_each_package_folder_is_listed() -> None:
    folders = {str(PurePosixPath(path).parent).replace("/", ".") for path in files_to_ship() if path.endswith(".py")}
    listed = project_file()["tool"]["setuptools"]["packages"]
    assert listed == sorted(listed)
    assert set(listed) == folders


def test_each_listed_package_is_a_regular_one() -> None:
    initials = {path for path in files_to_ship() if path.endswith("/__init__.py")}
    listed = project_file()["tool"]["setuptools"]["packages"]
    assert {f"{name.replace('.', '/')}/__init__.py" for name in listed} == initials


def test_the_wheel_holds_every_file_and_no_other(wheel: Path) -> None:
    expected = files_to_ship()
    with ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if ".dist-info/" not in name}
        assert held == set(expected)
        changed = [name for name in held if archive.read(name) != expected[name].read_bytes()]
    assert changed == []


def test_the_wheel_carries_licence_and_version(wheel: Path) -> None:
    with ZipFile(wheel) as archive:
        (licence,) = (name for name in archive.namelist() if name.endswith("/LICENSE"))
        assert archive.read(licence) == (ROOT / "LICENSE").read_bytes()
    assert wheel.name == f"knockon-{knockon.__version__}-py3-none-any.whl"


def test_the_installed_version_is_the_one_in_the_source() -> None:
    assert version("knockon") == knockon.__version__


def test_the_console_script_starts_the_shell() -> None:
    (script,) = entry_points(group="console_scripts", name="knockon")
    assert script.value == "knockon.__main__:main"


LOCKS = sorted(path.name for path in (ROOT / ".ci").glob("*.lock"))


def entries(lock: str) -> list[list[str]]:
    """The words of each entry of a lock file: the requirement, then its options."""
    lines = (ROOT / ".ci" / lock).read_text(encoding="utf-8").splitlines()
    text = "\n".join(line for line in lines if not line.startswith("#"))
    return [entry.split() for entry in text.replace("\\\n", " ").splitlines()]


def pinned(lock: str) -> dict[str, str]:
    found = [Requirement(words[0]) for words in entries(lock)]
    return {canonicalize_name(r.name): next(iter(r.specifier)).version for r in found}


def requirements(*extras: str) -> list[Requirement]:
    project = project_file()["project"]
    wanted = [*project["dependencies"]]
    for extra in extras:
        wanted += project["optional-dependencies"][extra]
    return [Requirement(text) for text in wanted]


def lowest(requirement: Requirement) -> str:
    (bound,) = requirement.specifier
    assert bound.operator == ">="
    return bound.version


def test_ci_installs_what_the_project_asks_for() -> None:
    pins = pinned("requirements.lock")
    for requirement in requirements("test", "check"):
        assert requirement.specifier.contains(pins[canonicalize_name(requirement.name)])


def test_the_product_s_lock_file_is_a_part_of_the_whole_one_and_has_all_that_it_needs() -> None:
    pins, whole = pinned("requirements-product.lock"), pinned("requirements.lock")
    assert pins.items() <= whole.items()
    backend = [Requirement(text) for text in project_file()["build-system"]["requires"]]
    for requirement in [*requirements(), *backend]:
        assert requirement.specifier.contains(pins[canonicalize_name(requirement.name)])
    assert {canonicalize_name(r.name) for r in requirements("test", "check")} - pins.keys()


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_file_names_each_library_once_and_the_digests_of_its_archives(lock: str) -> None:
    found = entries(lock)
    assert len(found) == len(pinned(lock)) > 0
    for name, *options in found:
        assert re.fullmatch(r"[\w.-]+==[\w.]+", name)
        digests = [word for word in options if word.startswith("--")]
        assert digests and all(re.fullmatch(r"--hash=sha256:[0-9a-f]{64}", word) for word in digests)


def test_the_oldest_libraries_are_those_that_the_project_names() -> None:
    pins = pinned("requirements-minimum.lock")
    for requirement in requirements("test"):
        pin = pins[canonicalize_name(requirement.name)]
        assert requirement.specifier.contains(pin)
        # 0.5 and 0.5.0 are one version: the pin is the bound itself, not a later one
        assert Requirement(f"x=={lowest(requirement)}").specifier.contains(pin)
