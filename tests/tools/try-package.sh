#!/usr/bin/env bash
# Packs the project, installs the tarball in an empty folder and runs it there.
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'kill "${demo:-}" 2>/dev/null || true; rm -rf "$work"' EXIT

tarball=$(cd "$root" && npm pack --silent --pack-destination "$work" | tail -n 1)
cd "$work"
npm init --yes >/dev/null
npm install --silent "./$tarball"
npx ampulla --version
npx ampulla check node_modules/ampulla/config/starter.yaml
npx ampulla check node_modules/ampulla/config/fish-room.yaml >/dev/null

node node_modules/ampulla/dist/main.js demo --weeks 0.1 --port 0 >demo.log &
demo=$!
for _ in $(seq 100); do
  page=$(grep -o 'http://[^ ]*' demo.log || true)
  if [ -n "$page" ] && grep -q 'Live now' demo.log; then break; fi
  sleep 0.3
done
node -e 'fetch(process.argv[1]).then((page) => page.text()).then((text) => { if (!text.includes("Discus")) process.exit(1); })' "$page"
kill "$demo"
wait "$demo"
echo "the package runs: $page"
