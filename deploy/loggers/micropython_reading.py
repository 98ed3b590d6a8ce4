"""MicroPython: a DS18B20 on pin 4 sends its temperature to Underboard every 15 minutes. The clock must be set."""

import time

import ds18x20
import machine
import onewire
import requests
from logger_settings import PLOT, SERVER, STATION, TOKEN

bus = ds18x20.DS18X20(onewire.OneWire(machine.Pin(4)))
waiting = []  # what could not be sent yet; sending it twice changes nothing
while True:
    bus.convert_temp()
    time.sleep(1)
    at = "{:04d}-{:02d}-{:02d}T{:02d}:{:02d}:{:02d}Z".format(*time.gmtime()[:6])
    now = {"value": round(bus.read_temp(bus.scan()[0]), 2), "unit": "degC"}
    waiting = [*waiting[-499:], {"station_id": STATION, "observed_at": at, "current": now}]
    try:
        head = {"Authorization": "Bearer " + TOKEN}
        url = SERVER + "/api/v1/plots/" + PLOT + "/readings"
        if requests.post(url, json={"readings": waiting}, headers=head, timeout=20).status_code == 200:
            waiting = []
    except OSError:
        pass  # no network now: kept for the next round
    time.sleep(900)
