"""The server over HTTP: Flask and marshmallow live here and nowhere else. The way in is `app.create_app`."""
