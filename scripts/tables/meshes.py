"""Write the meshes of benchmark cases to meshes/: scripts/pages

Run it with an interpreter that has the package's dependencies.
"""

from buckle.record.mesh_files import write_mesh
from scripts.tables.meshes_of_benchmarks import FOLDER, stored


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    files = list(stored())
    for stale in set(FOLDER.glob("*.vtu")) - {each.path for each in files}:
        stale.unlink()
    for each in files:
        write_mesh(each.path, each.mesh(), each.contents)
    print(f"{FOLDER}: {len(files)} meshes, {sum(each.path.stat().st_size for each in files) / 1024:.0f} kB")


if __name__ == "__main__":
    main()
