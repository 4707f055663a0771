#!/usr/bin/env bash
# Packs the project, installs the tarball in an empty folder and runs it there.
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

tarball=$(cd "$root" && npm pack --silent --pack-destination "$work" | tail -n 1)
cd "$work"
npm init --yes >/dev/null
npm install --silent "./$tarball"
npx ampulla --version
npx ampulla check node_modules/ampulla/config/starter.yaml
npx ampulla check node_modules/ampulla/config/fish-room.yaml
