-- The deeds about one case are found without reading the whole chain. Final: a change is a new file.

CREATE INDEX deeds_about ON deeds (about, seq) WHERE about IS NOT NULL;
