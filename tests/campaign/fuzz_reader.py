"""Coverage-guided fuzzing of the reader: bytes in, a regimen or problems out, and nothing else.

A claim for every input: ``read_regimen`` ends with a regimen or with ``RegimenRefused``, never with another exception,
within a second and within 300 MB. A regimen that was read goes through the rules as well.

Run (needs the ``fuzz`` extra):  python tests/campaign/fuzz_reader.py --seconds 3600 [--seed 1]
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
LARGEST_MB = 300
SLOWEST_S = 1

WORDS = (
    *("fillcards: 1", "language: en", "patient:", "syringe:", "medicines:", "fills:", "review:", "kind: other"),
    *("scale: ", "U-100", "U-40", "U-500", "mL", "capacity: ", "line_every: ", "strength: ", "100 units/mL"),
    *("8 units", "0.25 mg", "draw: {", "}", "- ", "days: every day", "[monday, thursday]", "insulin regular"),
    *("insulin isophane", "- when: ", "07:30", "2026-11-25", "sample: true", "&a", "*a", "!!str", "<<: ", "---\n"),
    *("%YAML 1.2\n", "\t", "\u202e", "{a:1}", "use_within: 28 days", "reads: 20/100 at 40 cm", "reserve: 3"),
    *("scale_length: 48 mm", "numbered_every: 5 units"),
)


def write_dictionary(path: Path) -> None:
    """Words of the format, in the fuzzer's own notation, so that it need not find them letter by letter."""
    lines = ['"' + "".join(f"\\x{byte:02X}" for byte in word.encode()) + '"' for word in WORDS]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")


def read_one(data: bytes) -> None:
    """The claim for one input."""
    from fillcards.pipeline import check_regimen, read_regimen_file
    from fillcards.problems import RegimenRefused

    try:
        check_regimen(read_regimen_file(data))
    except RegimenRefused as refused:
        if not refused.problems:
            raise AssertionError("refused without a problem") from refused


def main() -> None:
    """Start from the starters and the example files."""
    import atheris

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with atheris.instrument_imports(include=["fillcards"]):
        import fillcards.pipeline  # noqa: F401 - instrumented as it loads
    folder = Path(tempfile.mkdtemp(prefix="fuzz-reader-"))
    (folder / "corpus").mkdir()
    seeds = [*ROOT.glob("templates_yaml/*.yaml"), *ROOT.glob("tests/regimens/*/*.yaml")]
    for number, seed in enumerate(seeds):
        (folder / "corpus" / f"{number:04d}").write_bytes(seed.read_bytes())
    write_dictionary(folder / "words.dict")
    atheris.Setup(
        [
            sys.argv[0],
            str(folder / "corpus"),
            f"-dict={folder / 'words.dict'}",
            f"-artifact_prefix={folder}/",
            f"-max_total_time={arguments.seconds}",
            f"-seed={arguments.seed}",
            f"-timeout={SLOWEST_S}",
            f"-rss_limit_mb={LARGEST_MB}",
            "-max_len=8192",
            "-print_final_stats=1",
        ],
        read_one,
    )
    atheris.Fuzz()


if __name__ == "__main__":
    main()
