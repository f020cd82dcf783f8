"""Write everything that is made from the code, the cases and stored tables: scripts/pages."""

from scripts.tables import container, demand, meshes, schema, stored, validation, verification

WRITERS = (schema, meshes, container, demand, stored, validation, verification)


def main() -> None:
    for each in WRITERS:
        each.main()


if __name__ == "__main__":
    main()
