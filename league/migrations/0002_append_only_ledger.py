"""The ledger only grows: the database itself refuses to change or delete events and revisions.

Deleting is let through while an erasure of that player is under way. Who recorded an event may be blanked, when that
other person is erased; nothing else of an event or revision ever changes.
"""

from django.db import migrations

TABLES = {
    "league_cardevent": ("player_id", "number", "kind", "round_id", "facts", "entered_on", "recorded_at", "reason"),
    "league_revision": (
        "player_id",
        "event_id",
        "number",
        "issued_on",
        "index_tenths",
        "low_tenths",
        "differential_tenths",
        "edition",
        "detail",
    ),
}
ERASING = "EXISTS (SELECT 1 FROM league_erasure WHERE player_number = OLD.player_id AND done_at IS NULL)"
WORDS = "the ledger only grows"


def make_triggers(apps, schema_editor):
    run = schema_editor.execute
    if schema_editor.connection.vendor == "sqlite":
        for table, columns in TABLES.items():
            run(
                f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OF {', '.join(columns)} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{WORDS}'); END"
            )
            run(
                f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} WHEN NOT {ERASING} "
                f"BEGIN SELECT RAISE(ABORT, '{WORDS}'); END"
            )
        return
    run(
        "CREATE FUNCTION league_only_grows() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF TG_OP = 'DELETE' AND {ERASING} THEN RETURN OLD; END IF; "
        f"RAISE EXCEPTION '{WORDS}' USING ERRCODE = 'restrict_violation'; END $$"
    )
    for table, columns in TABLES.items():
        run(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OF {', '.join(columns)} ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION league_only_grows()"
        )
        run(
            f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION league_only_grows()"
        )


def drop_triggers(apps, schema_editor):
    on_table = "" if schema_editor.connection.vendor == "sqlite" else " ON {table}"
    for table in TABLES:
        for what in ("no_change", "no_delete"):
            schema_editor.execute(f"DROP TRIGGER {table}_{what}" + on_table.format(table=table))
    if schema_editor.connection.vendor != "sqlite":
        schema_editor.execute("DROP FUNCTION league_only_grows()")


class Migration(migrations.Migration):
    dependencies = [("league", "0001_initial")]

    operations = [migrations.RunPython(make_triggers, drop_triggers)]
