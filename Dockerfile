# One image for web, worker and beat. Unproven as a container: no container engine was at hand where it was written.
# It takes the same steps as `make run`: Debian's libraries by config.preflight, packages by the hash-pinned lock.
FROM python:3.11-slim-bookworm

ENV PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1 PATH=/app/.venv/bin:$PATH
WORKDIR /app

COPY config/preflight.py config/preflight.py
RUN python config/preflight.py run && rm -rf /var/lib/apt/lists/*

COPY requirements/run.lock.txt requirements/run.lock.txt
RUN python -m venv .venv && pip install --no-cache-dir --require-hashes -r requirements/run.lock.txt

COPY manage.py ./
COPY config config
COPY intake intake
COPY tuning tuning
COPY reports reports

# Collecting needs settings but no secret: the demo's key is made in a folder that is thrown away.
RUN FARPADDOCK_DEMO=1 FARPADDOCK_STATE_DIR=/tmp/build python manage.py collectstatic --noinput --verbosity 0 \
    && rm -rf /tmp/build

RUN useradd --system --uid 10001 farpaddock && mkdir -p /data && chown farpaddock /data
USER farpaddock
ENV FARPADDOCK_STATE_DIR=/data
VOLUME /data
EXPOSE 8000
CMD ["gunicorn", "config.wsgi", "--bind", "0.0.0.0:8000", "--workers", "3", "--threads", "2"]
