#!/bin/sh
# Check the types of the pages' scripts (JavaScript with typed comments) in strict mode.
set -eu
command -v tsc >/dev/null 2>&1 || sh tools/install-peers.sh
exec tsc --project src/couchside/web/static/tsconfig.json
