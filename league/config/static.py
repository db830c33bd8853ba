from whitenoise.storage import CompressedManifestStaticFilesStorage


class Modules(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Modules of script name each other by the hash of what is in them, as the sheets do."""

    support_js_module_import_aggregation = True
