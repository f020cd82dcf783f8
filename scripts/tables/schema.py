"""Write cases/case.schema.json, what editors know of case files: scripts/schema."""

from buckle.case.schema import schema_text
from scripts.paths import CASES


def main() -> None:
    path = CASES / "case.schema.json"
    path.write_text(schema_text(), encoding="utf-8")
    print(path)


if __name__ == "__main__":
    main()
