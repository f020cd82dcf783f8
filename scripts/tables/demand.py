"""Write docs/demand.md: scripts/pages."""

from scripts.paths import DOCS
from scripts.tables.demand_page import document


def main() -> None:
    page = DOCS / "demand.md"
    page.write_text(document(), encoding="utf-8")
    print(page)


if __name__ == "__main__":
    main()
