#!/bin/sh
# One command as the service's user with the service's settings: sudo palmward enrol "Ada Quill" +12025550190
# It runs in /opt/palmward, so files need whole paths, and may be written only where that user may. Nothing of the caller's
# environment goes along: what is set there would count more than the file.
cd /opt/palmward && exec runuser -u palmward -- env -i PATH="$PATH" LANG="${LANG:-C.UTF-8}" \
  node_modules/.bin/node --env-file=/etc/palmward/environment src/cli.ts "$@"
