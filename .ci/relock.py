"""Write the lock files anew from pyproject.toml: ``python .ci/relock.py [--upgrade]``. Needs ``uv`` on the path.

Each names every library with its version and the digests of its archives, so that pip takes no other file.
requirements.lock has what the product, its tests and its checks need, requirements-product.lock the product's part of
it, requirements-bench.lock that part and what benchmarks need more, requirements-cluster.lock that part, its tests and
what Parquet, DuckDB and Spark need, requirements-browser.lock that part, its tests and what drives a browser,
requirements-minimum.lock the oldest libraries that pyproject.toml admits, requirements-outside.lock what only lends its
tables to the tests. A version that still holds stays, unless ``--upgrade`` asks for the newest.
"""

import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from tempfile import NamedTemporaryFile

CI = Path(__file__).resolve().parent
ROOT = CI.parent
ALL = "requirements.lock"
HEADS = {
    ALL: "Every library that the product, its tests and its checks need.",
    "requirements-product.lock": "The libraries that the product needs, as in requirements.lock.",
    "requirements-bench.lock": "What the product and its benchmarks need; versions as in requirements.lock.",
    "requirements-cluster.lock": "What the product and its tests need with Parquet, DuckDB and Spark.",
    "requirements-browser.lock": "What the product and its tests in a real browser need.",
    "requirements-minimum.lock": "The oldest libraries that pyproject.toml admits; CI runs the tests with them too.",
    "requirements-outside.lock": "Tables to check against (bearings, threads, clearance holes). Installed without its\n"
    "# dependencies (a CAD kernel): only its CSV files are read.",
}
OUTSIDE = "bd_warehouse"


def compiled(name: str, *arguments: str) -> None:
    """Write one lock file, for every system and Python that the project admits."""
    lock = CI / name
    uv = ["uv", "pip", "compile", "--quiet", "--generate-hashes", "--no-annotate", "--no-header"]
    pythons = ["--universal", "--python-version", "3.11", "--fork-strategy", "fewest"]
    subprocess.run([*uv, *pythons, *arguments, "--output-file", str(lock)], check=True, cwd=ROOT)
    pins = lock.read_text(encoding="utf-8")
    lock.write_text(f"# {HEADS[name]}\n# Written by .ci/relock.py.\n{pins}", encoding="utf-8")


def main() -> None:
    """Write the seven files."""
    if not shutil.which("uv"):
        raise SystemExit("this needs uv: pip install uv")
    again = ["--upgrade"] if sys.argv[1:] == ["--upgrade"] else []
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    with NamedTemporaryFile("w", suffix=".in") as backend, NamedTemporaryFile("w", suffix=".in") as outside:
        backend.write("\n".join(project["build-system"]["requires"]))
        backend.flush()
        outside.write(OUTSIDE)
        outside.flush()
        product = ["pyproject.toml", backend.name]
        compiled(ALL, *again, "--extra", "test", "--extra", "check", *product)
        compiled("requirements-product.lock", *again, "--constraint", str(CI / ALL), *product)
        compiled("requirements-bench.lock", *again, "--constraint", str(CI / ALL), "--extra", "bench", *product)
        with_spark = ["--extra", "cluster", "--extra", "spark", "--extra", "test"]
        compiled("requirements-cluster.lock", *again, "--constraint", str(CI / ALL), *with_spark, *product)
        driven = ["--extra", "browser", "--extra", "test"]
        compiled("requirements-browser.lock", *again, "--constraint", str(CI / ALL), *driven, *product)
        compiled("requirements-minimum.lock", *again, "--resolution", "lowest-direct", "--extra", "test", *product)
        compiled("requirements-outside.lock", *again, "--no-deps", outside.name)


if __name__ == "__main__":
    main()
