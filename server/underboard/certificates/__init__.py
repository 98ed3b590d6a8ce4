"""The household's own certificate authority, and the certificate that this server shows to phones.

`authority` makes keys and certificates and knows no files; `bounds` says for which names and addresses an
authority is good; `own_names` looks what this machine is called; `keeping` holds the two files in `keys/`;
`profile` writes what an iPhone installs. Nobody here knows the web or the commands.
"""
