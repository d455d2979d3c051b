"""Lock files name packages, versions and hashes, but no address: where packages come from is each machine's own."""

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOCKS = [*(ROOT / "requirements").glob("*.txt"), ROOT / "tests" / "lighthouse" / "package-lock.json"]


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_it_holds_no_address(lock: Path) -> None:
    lines = lock.read_text(encoding="utf-8").splitlines()
    assert len(lines) > 50
    assert [line for line in lines if "://" in line] == []
