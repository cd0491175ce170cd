# Builds the binary, then puts only that into a small image.

FROM rust:1.95-bookworm AS build
WORKDIR /src
COPY . .
# The data for the checked queries is in .sqlx, so no database is needed.
ENV SQLX_OFFLINE=true
RUN cargo build --release --locked --bin burnday

FROM debian:bookworm-slim
# Needed to check an email server's certificate.
RUN apt-get update && apt-get install -y --no-install-recommends ca-certificates && rm -rf /var/lib/apt/lists/*
# A fixed user number, so that a folder on the host can belong to it.
RUN useradd --uid 10001 --no-create-home --home-dir /data --shell /usr/sbin/nologin burnday \
    && install -d -m 0700 -o burnday -g burnday /data
COPY --from=build /src/target/release/burnday /usr/local/bin/burnday
COPY LICENSE static/public-sans-OFL.txt static/vendor/htmx-LICENSE.txt /usr/local/share/burnday/
USER burnday
ENV BURNDAY_DATA=/data BURNDAY_LISTEN=0.0.0.0:8080
VOLUME /data
EXPOSE 8080
# The image has no HTTP client, but bash can open a connection.
HEALTHCHECK --interval=30s --timeout=6s --start-period=10s \
    CMD ["bash", "-c", "exec 3<>/dev/tcp/127.0.0.1/8080 && printf 'GET /health HTTP/1.0\\r\\n\\r\\n' >&3 && grep -q '\"store\":\"ok\"' <&3"]
ENTRYPOINT ["burnday"]
