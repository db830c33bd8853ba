"""Where the repository's own files are, for tests that read them."""

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MADE_HERE = {".git", ".venv", "data", "node_modules", "staticfiles"}


def our_files() -> Iterator[tuple[Path, str]]:
    """Every text file that is ours, with its text: nothing installed, cached or made while running."""
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        hidden_cache = any(part.endswith("cache") or part in ("__pycache__", ".hypothesis") for part in parts)
        if path.is_file() and not hidden_cache and parts[0] not in MADE_HERE:
            try:
                yield path.relative_to(ROOT), path.read_text(encoding="utf-8")
            except UnicodeDecodeError:
                continue
