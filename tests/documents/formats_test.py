"""docs/formats.md names every schema that the sources write, with its number, and no other.

    formats_test.py SOURCE_DIR
"""

import pathlib
import re
import sys


def main():
    source = pathlib.Path(sys.argv[1])
    schema = re.compile(r"brink/[a-z-]+/[0-9]+")
    written = {found for path in source.glob("src/**/*.cpp") for found in schema.findall(path.read_text(encoding="utf-8"))}
    told = set(schema.findall((source / "docs/formats.md").read_text(encoding="utf-8")))
    assert len(written) >= 15, written
    assert written == told, f"written and not told: {sorted(written - told)}; told and not written: {sorted(told - written)}"
    print(f"{len(told)} schemas")


main()
