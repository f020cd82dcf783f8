"""Write docs/container-facts.md: scripts/pages."""

from scripts.paths import DOCS
from scripts.tables.container_page import document


def main() -> None:
    page = DOCS / "container-facts.md"
    page.write_text(document(), encoding="utf-8")
    print(page)


if __name__ == "__main__":
    main()
