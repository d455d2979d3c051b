"""Write the schema files: ``python -m tuning.engine.schemas``."""

from tuning.engine.schemas import FOLDER, NAMES, made, text

for name in NAMES:
    (FOLDER / f"{name}.json").write_text(text(made(name)), encoding="utf-8")
