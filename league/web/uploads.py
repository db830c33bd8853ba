"""What a form may bring in: nothing is written to a disk, and a body far too large is not kept at all."""

from typing import Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.core.files.uploadhandler import FileUploadHandler
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

PIECE, MOST_PIECES = 64 * 1024, 1024
TOO_BIG = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


class Bounded(FileUploadHandler):
    """Stands before the handler that keeps a file in memory, and takes nothing itself."""

    def handle_raw_input(
        self, input_data: Any, META: Any, content_length: int, boundary: Any, encoding: str | None = None
    ) -> None:
        if content_length > settings.FILE_UPLOAD_MAX_MEMORY_SIZE:
            _pour_away(input_data)
            raise RequestDataTooBig

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None


def _pour_away(body: Any) -> None:
    """A browser that may not finish sending shows its own error instead of our answer."""
    for _ in range(MOST_PIECES):
        if not body.read(PIECE):
            return


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for what no view got to see: 413 where it was too large, else 400."""
    if isinstance(exception, TOO_BIG):
        return render(request, "413.html", status=413)
    return render(request, "400.html", status=400)
