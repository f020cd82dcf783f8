"""Write docs/validation.md: scripts/pages

Run it with an interpreter that has the package's dependencies.
"""

from scripts.paths import ROOT
from scripts.tables.validation_page import document


def main() -> None:
    page = ROOT / "docs" / "validation.md"
    page.write_text(document(), encoding="utf-8")
    print(page)


if __name__ == "__main__":
    main()
