#!/usr/bin/env bash
# Installs and tests a copy of this checkout on another major version of Node: on-node.sh 22
set -euo pipefail
version=${1:?usage: on-node.sh MAJOR}
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

mkdir "$work/node" "$work/headers" "$work/copy"
npm install --silent --no-save --prefix "$work/node" "node@$version"
bin=$(dirname "$(find "$work/node" -path '*/bin/node' -type f | head -n 1)")

# Native modules are built as their published binaries are: against the first release of the line,
# with which all later ones are binary compatible. Headers of 24.21.0 would give modules that abort
# when an object is collected; see docs/decisions.md.
machine=$(node -p 'process.platform + "-" + process.arch')
npm install --silent --no-save --prefix "$work/headers" "node-$machine@$version.0.0"
export PATH="$bin:$PATH" npm_config_nodedir="$work/headers/node_modules/node-$machine"
echo "testing on Node $(node --version)"

git -C "$root" ls-files -z | tar -C "$root" --null -T - -cf - | tar -C "$work/copy" -xf -
cd "$work/copy"
npm ci
npm test
