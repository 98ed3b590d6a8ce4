"""A row that a database refuses: a mistake of ours that only a record with this word meets."""

POISON = {
    "sqlite": (
        "CREATE TRIGGER poison BEFORE INSERT ON record WHEN NEW.body LIKE '%poison%' "
        "BEGIN SELECT RAISE(ABORT, 'poison'); END",
    ),
    "postgresql": (
        "CREATE FUNCTION poison() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "IF NEW.body LIKE '%%poison%%' THEN RAISE EXCEPTION 'poison'; END IF; RETURN NEW; END $$",
        "CREATE TRIGGER poison BEFORE INSERT ON record FOR EACH ROW EXECUTE FUNCTION poison()",
    ),
}
