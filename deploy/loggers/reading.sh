#!/bin/sh
# Send one temperature to Underboard, from anything that has a shell and curl:  ./reading.sh 4.5
# Pair once: `underboard pair --plot ID --show-code` prints a code, then
#   curl -s http://SERVER:8350/api/v1/pair -H 'Content-Type: application/json' \
#     -d '{"code": "XXXX-XXXX", "device_name": "logger", "want": "token"}'      answers token and plot_id.
set -eu
: "${SERVER:?such as http://192.168.1.20:8350}" "${PLOT:?the plot_id}" "${TOKEN:?the token}"
: "${STATION:?the id of the thermometer: Plot, its station, Details}"
at=$(date -u +%Y-%m-%dT%H:%M:%SZ)
# Sending the same again changes nothing, so trying three times is safe.
curl -sS --fail-with-body --retry 3 --retry-connrefused --max-time 20 \
  -H "Authorization: Bearer $TOKEN" -H 'Content-Type: application/json' \
  -d '{"readings": [{"station_id": "'"$STATION"'", "observed_at": "'"$at"'",
       "current": {"value": '"${1:?the temperature in °C}"', "unit": "degC"}}]}' \
  "$SERVER/api/v1/plots/$PLOT/readings"
