"""The words of the page that helps phones to trust the household, in both languages.

A step is a sentence and a drawn screen: its title, its rows, which row to touch (counted from 0), and whether that
row is a switch. Names of settings are those of the systems themselves (iOS 18, Android 15, Windows 11, macOS 15);
other versions call some of them a little differently.
"""

from __future__ import annotations

from typing import Final, NamedTuple


class Step(NamedTuple):
    """One thing to do, and how the screen looks on which it is done."""

    says: str
    title: str
    rows: tuple[str, ...]
    touch: int
    switch: bool = False


class System(NamedTuple):
    """One kind of phone or computer."""

    id: str
    name: str
    file: str
    steps: tuple[Step, ...]
    after: str = ""


WORDS: Final[dict[str, dict[str, str]]] = {
    "en": {
        "title": "Let this phone trust your Underboard server",
        "why_title": "This address is not safe to write on",
        "why": "You came by plain http. Others on the wifi could read along, so the browser keeps nothing here and "
        "works only with the network. Nothing of yours is lost: this page only explains.",
        "go": "When this phone trusts the server, open it by one of these:",
        "first_title": "First compare",
        "first": "On the computer that runs the server, “underboard certificate” prints the same digits. Compare them "
        "before you install anything. If they differ, somebody else answers here: stop.",
        "good_for": "What you install is good for your own server only, not for banks, mail or anything else:",
        "file": "Fetch the file for this system",
        "none_title": "There is nothing to install",
        "none": "This server shows no certificate of its own household. If it has none at all, run “underboard "
        "certificate” on the computer that runs it.",
        "off": "To take it away again, remove “Underboard of this household” where you installed it.",
        "picture": "Drawn screen",
    },
    "de": {
        "title": "Damit dieses Handy deinem Underboard-Server traut",
        "why_title": "Unter dieser Adresse kann man nicht sicher schreiben",
        "why": "Du bist über einfaches http gekommen. Andere im WLAN könnten mitlesen; deshalb bewahrt der "
        "Browser hier nichts auf. Verloren ist nichts: Diese Seite erklärt nur.",
        "go": "Wenn dieses Handy dem Server traut, öffne eine dieser Adressen:",
        "first_title": "Zuerst vergleichen",
        "first": "Auf dem Rechner mit dem Server zeigt „underboard certificate“ dieselben Ziffern. Vergleiche sie, "
        "bevor du etwas installierst. Sind sie verschieden, antwortet hier jemand anders: Hör auf.",
        "good_for": "Was du installierst, gilt nur für deinen eigenen Server, nicht für Banken, Post oder anderes:",
        "file": "Datei für dieses System holen",
        "none_title": "Es gibt nichts zu installieren",
        "none": "Dieser Server zeigt kein Zertifikat des eigenen Haushalts. Hat er gar keines, dann rufe auf seinem "
        "Rechner „underboard certificate“ auf.",
        "off": "Um es wieder wegzunehmen, entferne „Underboard of this household“ dort, wo du es installiert hast.",
        "picture": "Gezeichneter Bildschirm",
    },
}

_PEM: Final = "underboard-ca.pem"
_CRT: Final = "underboard-ca.crt"
_IOS: Final = "underboard-ca.mobileconfig"

SYSTEMS: Final[dict[str, tuple[System, ...]]] = {
    "en": (
        System("ios", "iPhone and iPad", _IOS, (
            Step("Fetch the file in Safari and allow it.", "Safari", ("Download a profile?", "Ignore", "Allow"), 2),
            Step("Open Settings. The profile waits at the top.", "Settings",
                 ("Profile Downloaded", "Wi-Fi", "Bluetooth"), 0),
            Step("Tap Install, give your code, tap Install again.", "Install Profile",
                 ("Underboard of this household", "Not Verified", "Install"), 2),
            Step("Now the switch that is easily missed: General, About, Certificate Trust Settings. Turn it on.",
                 "Certificate Trust Settings", ("Enable full trust", "Underboard of this household"), 1, True),
        ), "Without that last switch Safari goes on warning."),
        System("android", "Android", _CRT, (
            Step("Fetch the file. It lies in Downloads.", "Downloads", ("underboard-ca.crt", "Done"), 0),
            Step("Open Settings, Security & privacy, More security, Encryption & credentials.",
                 "Encryption & credentials", ("Trusted credentials", "Install a certificate"), 1),
            Step("Choose CA certificate, then Install anyway: the warning is for files from strangers.",
                 "Install a certificate", ("CA certificate", "VPN & app user certificate", "Wi-Fi certificate"), 0),
            Step("Choose the file.", "Downloads", ("underboard-ca.crt",), 0),
        ), "Chrome takes it at once. Firefox: Settings, About, tap the logo five times, Secret settings, "
           "Use third party CA certificates."),
        System("windows", "Windows", _CRT, (
            Step("Fetch the file and open it.", "Certificate",
                 ("Underboard of this household", "Install Certificate…"), 1),
            Step("Current User, then: Place all certificates in the following store.", "Import Wizard",
                 ("Select automatically", "Place all certificates in: Browse…"), 1),
            Step("Choose Trusted Root Certification Authorities, finish, and say Yes.", "Select a store",
                 ("Personal", "Trusted Root Certification Authorities"), 1),
        )),
        System("macos", "Mac", _CRT, (
            Step("Fetch the file and open it; Keychain Access takes it in.", "Keychain Access",
                 ("login", "Underboard of this household"), 1),
            Step("Double-click it, open Trust, choose Always Trust, and give your password.", "Trust",
                 ("When using this certificate:", "Always Trust"), 1),
        )),
        System("linux", "Linux", _PEM, (
            Step("Chromium and Chrome: Settings, Privacy and security, Security, Manage certificates, Installed by "
                 "you, Import.", "Manage certificates", ("Trusted certificates", "Import"), 1),
            Step("Firefox: Settings, Privacy & Security, View Certificates, Authorities, Import; tick “identify "
                 "websites”.", "Authorities", ("Import…", "Trust this CA to identify websites"), 1, True),
        ), "For programs: copy it to /usr/local/share/ca-certificates/underboard.crt and run "
           "sudo update-ca-certificates."),
    ),
    "de": (
        System("ios", "iPhone und iPad", _IOS, (
            Step("Hol die Datei mit Safari und erlaube sie.", "Safari", ("Profil laden?", "Ignorieren", "Zulassen"), 2),
            Step("Öffne die Einstellungen. Das Profil wartet ganz oben.", "Einstellungen",
                 ("Profil geladen", "WLAN", "Bluetooth"), 0),
            Step("Tippe auf Installieren, gib deinen Code ein, noch einmal Installieren.", "Profil installieren",
                 ("Underboard of this household", "Nicht überprüft", "Installieren"), 2),
            Step("Jetzt der Schalter, den man leicht übersieht: Allgemein, Info, Zertifikatsvertrauenseinstellungen. "
                 "Schalte ihn ein.", "Zertifikatsvertrauen",
                 ("Volles Vertrauen", "Underboard of this household"), 1, True),
        ), "Ohne diesen letzten Schalter warnt Safari weiter."),
        System("android", "Android", _CRT, (
            Step("Hol die Datei. Sie liegt unter Downloads.", "Downloads", ("underboard-ca.crt", "Fertig"), 0),
            Step("Öffne Einstellungen, Sicherheit und Datenschutz, Weitere Einstellungen, Verschlüsselung und "
                 "Anmeldedaten.", "Anmeldedaten", ("Vertrauenswürdige Anmeldedaten", "Zertifikat installieren"), 1),
            Step("Wähle CA-Zertifikat, dann Trotzdem installieren: Die Warnung gilt Dateien von Fremden.",
                 "Zertifikat installieren", ("CA-Zertifikat", "VPN- und App-Zertifikat", "WLAN-Zertifikat"), 0),
            Step("Wähle die Datei.", "Downloads", ("underboard-ca.crt",), 0),
        ), "Chrome nimmt es sofort. Firefox: Einstellungen, Über, fünfmal auf das Logo tippen, Geheime Einstellungen, "
           "CA-Zertifikate von Drittanbietern verwenden."),
        System("windows", "Windows", _CRT, (
            Step("Hol die Datei und öffne sie.", "Zertifikat",
                 ("Underboard of this household", "Zertifikat installieren…"), 1),
            Step("Aktueller Benutzer, dann: Alle Zertifikate in folgendem Speicher speichern.", "Importassistent",
                 ("Automatisch auswählen", "In folgendem Speicher: Durchsuchen…"), 1),
            Step("Wähle Vertrauenswürdige Stammzertifizierungsstellen, beende und sag Ja.", "Speicher auswählen",
                 ("Eigene Zertifikate", "Vertrauenswürdige Stammzertifizierungsstellen"), 1),
        )),
        System("macos", "Mac", _CRT, (
            Step("Hol die Datei und öffne sie; die Schlüsselbundverwaltung nimmt sie auf.", "Schlüsselbund",
                 ("Anmeldung", "Underboard of this household"), 1),
            Step("Doppelklicke sie, öffne Vertrauen, wähle Immer vertrauen und gib dein Passwort ein.", "Vertrauen",
                 ("Bei Verwendung dieses Zertifikats:", "Immer vertrauen"), 1),
        )),
        System("linux", "Linux", _PEM, (
            Step("Chromium und Chrome: Einstellungen, Datenschutz und Sicherheit, Sicherheit, Zertifikate verwalten, "
                 "Von dir installiert, Importieren.", "Zertifikate",
                 ("Vertrauenswürdige Zertifikate", "Importieren"), 1),
            Step("Firefox: Einstellungen, Datenschutz & Sicherheit, Zertifikate anzeigen, Zertifizierungsstellen, "
                 "Importieren; Websites identifizieren ankreuzen.", "Zertifizierungsstellen",
                 ("Importieren…", "Dieser CA für Websites vertrauen"), 1, True),
        ), "Für Programme: nach /usr/local/share/ca-certificates/underboard.crt kopieren und sudo "
           "update-ca-certificates aufrufen."),
    ),
}  # fmt: skip
