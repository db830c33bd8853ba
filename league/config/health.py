from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

MIGRATED: set[str] = set()


def is_migrated() -> bool:
    """Asked until it is so once: the migrations of a running process do not change under it."""
    name = str(connection.settings_dict["NAME"])
    if name not in MIGRATED:
        executor = MigrationExecutor(connection)
        if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
            MIGRATED.add(name)
    return name in MIGRATED


@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """200 when the database answers and its tables are those this code expects, else 503; says no more than that."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        ready = is_migrated()
    except DatabaseError:
        ready = False
    if ready:
        return HttpResponse("ready\n", content_type="text/plain")
    return HttpResponse("not ready\n", status=503, content_type="text/plain", headers={"Retry-After": "5"})


def durability_fault() -> str | None:
    """Why this database might lose what it has acknowledged, or None."""
    if connection.vendor == "sqlite":
        return first_fault("PRAGMA {}", {"synchronous": ("2", "3")})
    good = {"fsync": ("on",), "full_page_writes": ("on",), "synchronous_commit": ("on", "remote_apply")}
    return first_fault("SHOW {}", good)


def first_fault(question: str, good: dict[str, tuple[str, ...]]) -> str | None:
    with connection.cursor() as cursor:
        for name, values in good.items():
            cursor.execute(question.format(name))
            value = str(cursor.fetchone()[0])
            if value not in values:
                return (
                    f"The database runs with {name} = {value}, so a power cut could lose cards; set it to {values[0]}."
                )
    return None
