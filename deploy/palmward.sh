#!/bin/sh
# One command as the service's user with the service's settings: sudo palmward enrol "Ada Quill" +12025550190
# It runs in /opt/palmward, so files need whole paths, and may be written only where that user may.
cd /opt/palmward && exec runuser -u palmward -- \
  node_modules/.bin/node --env-file=/etc/palmward/environment src/cli.ts "$@"
