"""How `manage.py start` runs gunicorn; `python -m gunicorn -c python:league.config.gunicorn` does the same by hand."""

from django.conf import settings

wsgi_app = settings.WSGI_APPLICATION.replace(".application", ":application")
worker_class = "gthread"
workers = 2
threads = 4
timeout = 60
graceful_timeout = 20
control_socket_disable = True
forwarded_allow_ips = ",".join(settings.PROXIES)
logconfig_dict = settings.LOGGING
