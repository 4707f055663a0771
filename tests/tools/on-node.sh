#!/usr/bin/env bash
# Installs and tests a copy of this checkout on another major version of Node: on-node.sh 22
set -euo pipefail
version=${1:?usage: on-node.sh MAJOR}
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

mkdir "$work/node" "$work/copy"
npm install --silent --no-save --prefix "$work/node" "node@$version"
bin=$(dirname "$(find "$work/node" -path '*/bin/node' -type f | head -n 1)")
# Native modules must be built against that version's headers, which stand beside its binary.
export PATH="$bin:$PATH" npm_config_nodedir="$(dirname "$bin")"
echo "testing on Node $(node --version)"

git -C "$root" ls-files -z | tar -C "$root" --null -T - -cf - | tar -C "$work/copy" -xf -
cd "$work/copy"
npm ci
npm test
