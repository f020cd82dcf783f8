"""Whether a file lies on a drive that other machines share."""

from pathlib import Path

MOUNTS = Path("/proc/self/mounts")
NETWORK = ("nfs", "cifs", "smb", "afs", "ceph", "lustre", "gpfs", "beegfs", "fuse.sshfs", "9p")


def is_network_drive(path: Path) -> bool:
    """Tell whether a path is known to lie on a network drive; False where the system does not say."""
    if not MOUNTS.is_file():
        return False
    folder = str(path.resolve().parent) + "/"
    mounts = [line.split()[1:3] for line in MOUNTS.read_text(encoding="utf-8", errors="replace").splitlines()]
    above = [(len(point), kind) for point, kind in mounts if folder.startswith(point.rstrip("/") + "/")]
    return max(above, default=(0, ""))[1].startswith(NETWORK)
