#!/bin/sh
# One command as the service's user with the service's settings: sudo palmward enrol "Ada Quill" +12025550190
cd /opt/palmward && exec runuser -u palmward -- \
  node_modules/.bin/node --env-file=/etc/palmward/environment src/cli.ts "$@"
