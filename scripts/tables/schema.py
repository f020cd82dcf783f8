"""Write cases/case.schema.json and cases/container.schema.json, what editors know of the files: scripts/schema."""

from buckle.case.schema import schema_text
from buckle.container.schema import container_schema_text
from scripts.paths import CASES


def main() -> None:
    for name, text in (("case", schema_text()), ("container", container_schema_text())):
        path = CASES / f"{name}.schema.json"
        path.write_text(text, encoding="utf-8")
        print(path)


if __name__ == "__main__":
    main()
