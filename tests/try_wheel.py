"""Build the wheel, unpack it away from the checkout, and ask it for its starters: ``python tests/try_wheel.py``.

A script and not a test: building fetches the build tool from the package index.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

ROOT = Path(__file__).parent.parent


def main() -> int:
    """Exit code 0 if the unpacked wheel lists exactly the starters of the checkout."""
    with tempfile.TemporaryDirectory() as folder:
        build = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", folder, str(ROOT)]
        subprocess.run(build, check=True)
        (wheel,) = Path(folder).glob("*.whl")
        with zipfile.ZipFile(wheel) as archive:
            archive.extractall(Path(folder, "unpacked"))
        listed = subprocess.run(
            [sys.executable, "-P", "-m", "fillcards", "new"],
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(Path(folder, "unpacked"))},
            check=True,
            capture_output=True,
            text=True,
        )
    names = [line.split()[0] for line in listed.stdout.splitlines()]
    wanted = sorted(path.stem for path in (ROOT / "templates_yaml").iterdir())
    sys.stdout.write(f"{wheel.name}: {len(names)} starters\n")
    return 0 if names == wanted and names else 1


if __name__ == "__main__":
    sys.exit(main())
