"""Write both lock files anew from pyproject.toml: ``python .ci/relock.py``, with the oldest Python that it admits.

requirements.lock takes the newest library that each bound admits, requirements-minimum.lock the bound itself.
"""

import re
import subprocess
import sys
import tomllib
import venv
from pathlib import Path
from tempfile import TemporaryDirectory

CI = Path(__file__).resolve().parent
NEWEST = "# What CI and the Makefile install: every library that the product, its tests and its checks need."
OLDEST = "# The oldest libraries that pyproject.toml admits, with which CI runs the tests as well."


def frozen(requirements: list[str], build_backend: str) -> list[str]:
    """Install into a fresh environment; what stands there then, one pin a line, in order of name."""
    with TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        pip = [str(Path(folder, "bin", "python")), "-m", "pip", "--disable-pip-version-check"]
        subprocess.run([*pip, "install", "--quiet", *requirements, build_backend], check=True)
        listed = subprocess.run([*pip, "freeze", "--all"], check=True, capture_output=True, text=True).stdout
    return sorted((line for line in listed.splitlines() if not line.startswith("pip==")), key=str.lower)


def main() -> None:
    """Write the two files."""
    if sys.version_info[:2] != (3, 11):
        raise SystemExit("run this with Python 3.11, the oldest one that knockon admits")
    written = tomllib.loads((CI.parent / "pyproject.toml").read_text(encoding="utf-8"))
    project, (backend,) = written["project"], written["build-system"]["requires"]
    extras = project["optional-dependencies"]
    newest = frozen([*project["dependencies"], *extras["test"], *extras["check"]], backend)
    bounds = [re.sub(">=", "==", text) for text in [*project["dependencies"], *extras["test"]]]
    oldest = frozen(bounds, backend.replace(">=", "=="))
    for name, head, pins in (("", NEWEST, newest), ("-minimum", OLDEST, oldest)):
        text = "\n".join([head, "# Written by .ci/relock.py.", *pins]) + "\n"
        (CI / f"requirements{name}.lock").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
