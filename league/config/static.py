"""How sheets, scripts and pictures are served: named by what is in them, compressed, without comments."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.core.files.base import ContentFile, File
from django.core.files.storage import Storage
from whitenoise.storage import CompressedManifestStaticFilesStorage

TEXTS = (".js", ".css")


def without_comments(text: str) -> str:
    """Sheet or script less the comments at the head of lines, and empty lines; what stands behind code stays.

    >>> print(without_comments("// why\\nlet a = 1; // here\\n/** What\\n * it is. */\\nlet b = 2;"))
    let a = 1; // here
    let b = 2;
    """
    kept = []
    is_inside = False
    for line in text.split("\n"):
        code = line
        if is_inside or line.lstrip().startswith("/*"):
            _, end, code = line.partition("*/")
            is_inside = not end
        if code.strip() and not code.lstrip().startswith("//"):
            kept.append(code)
    return "\n".join(kept)


class Bare:
    """The files as they lie, opened without their comments."""

    def __init__(self, files: Storage) -> None:
        self.files = files

    def open(self, path: str) -> "File[bytes]":
        opened = self.files.open(path)
        if not path.endswith(TEXTS):
            return opened
        with opened:
            return ContentFile(without_comments(opened.read().decode("utf-8")).encode("utf-8"))


class Modules(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Modules of script name each other by the hash of what is in them, as the sheets do."""

    support_js_module_import_aggregation = True

    def post_process(self, paths: Mapping[str, tuple[Storage, str]], **options: Any) -> Iterator[Any]:
        bare = {name: (Bare(files), path) for name, (files, path) in paths.items()}
        yield from super().post_process(bare, **options)
