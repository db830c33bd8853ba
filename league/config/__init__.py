from league.config.celery import app

__all__ = ["app"]
