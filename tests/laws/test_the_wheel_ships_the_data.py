"""What is built is what runs: the wheel holds both packages with every data file, and the console script."""

import zipfile
from pathlib import Path

from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).parents[2]


def test_the_wheel_holds_every_data_file_and_the_console_script(tmp_path):
    (wheel,) = WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
        scripts = next(archive.read(name).decode() for name in names if name.endswith("entry_points.txt"))
    data = {
        str(path.relative_to(ROOT))
        for package in ("core", "bot")
        for path in (ROOT / package).rglob("*")
        if path.suffix in {".py", ".toml", ".txt"}
    }
    assert any(name.endswith(".toml") for name in data)
    assert data <= names
    assert "platewright = bot.__main__:main" in scripts
