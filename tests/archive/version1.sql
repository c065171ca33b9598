-- An archive as version 1 of its file left it: the session of archive_tables.py, its vocabulary cut to what is used.
CREATE TABLE person (id INTEGER PRIMARY KEY, code TEXT NOT NULL UNIQUE, name TEXT UNIQUE);
CREATE TABLE vocabulary (
  id INTEGER PRIMARY KEY, name TEXT NOT NULL, version TEXT NOT NULL, hash TEXT NOT NULL UNIQUE, body BLOB NOT NULL);
CREATE TABLE session (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
CREATE TABLE edition (
  id INTEGER PRIMARY KEY, session INTEGER NOT NULL REFERENCES session, number INTEGER NOT NULL,
  current INTEGER NOT NULL, date TEXT NOT NULL, digest TEXT NOT NULL,
  vocabulary INTEGER NOT NULL REFERENCES vocabulary, program TEXT NOT NULL, withdrawn INTEGER NOT NULL DEFAULT 0,
  body TEXT NOT NULL, UNIQUE (session, number));
CREATE UNIQUE INDEX one_current ON edition (session) WHERE current = 1;
CREATE TABLE coffee (
  id INTEGER PRIMARY KEY, edition INTEGER NOT NULL REFERENCES edition, key TEXT NOT NULL, name TEXT NOT NULL,
  duplicate_of TEXT NOT NULL, UNIQUE (edition, key));
CREATE TABLE seat (
  coffee INTEGER NOT NULL REFERENCES coffee, person INTEGER NOT NULL REFERENCES person,
  PRIMARY KEY (coffee, person)) WITHOUT ROWID;
CREATE TABLE source (
  id INTEGER PRIMARY KEY, edition INTEGER NOT NULL REFERENCES edition, name TEXT NOT NULL, isolated INTEGER NOT NULL,
  UNIQUE (edition, name));
CREATE TABLE turn (
  id INTEGER PRIMARY KEY, source INTEGER NOT NULL REFERENCES source, person INTEGER REFERENCES person,
  text TEXT NOT NULL, offsets TEXT NOT NULL, times TEXT NOT NULL, note TEXT, coffee TEXT, brew TEXT, moment TEXT,
  bowl TEXT, topic TEXT, kind TEXT NOT NULL, line INTEGER NOT NULL);
CREATE INDEX turn_of_source ON turn (source);
CREATE TABLE decision (source INTEGER NOT NULL REFERENCES source, person INTEGER REFERENCES person, body TEXT NOT NULL);
CREATE TABLE finding (
  id INTEGER PRIMARY KEY, coffee INTEGER NOT NULL REFERENCES coffee, person INTEGER NOT NULL REFERENCES person,
  source INTEGER NOT NULL REFERENCES source, descriptor TEXT NOT NULL, words TEXT NOT NULL,
  start INTEGER NOT NULL, stop INTEGER NOT NULL, note TEXT, at REAL, brew TEXT, moment TEXT, place TEXT, bowl TEXT,
  line INTEGER NOT NULL, present INTEGER NOT NULL, standing TEXT NOT NULL, degree TEXT, strength REAL,
  certainty REAL NOT NULL, hedged INTEGER NOT NULL, via TEXT NOT NULL, match REAL NOT NULL, state TEXT,
  parts TEXT NOT NULL, fault INTEGER NOT NULL, two_faced INTEGER NOT NULL, nose INTEGER NOT NULL, echo INTEGER NOT NULL,
  sure REAL NOT NULL);
CREATE INDEX finding_of_coffee ON finding (coffee);
CREATE INDEX finding_of_descriptor ON finding (descriptor);
CREATE INDEX finding_of_person ON finding (person);
CREATE TABLE mark (
  id INTEGER PRIMARY KEY, coffee INTEGER NOT NULL REFERENCES coffee, person INTEGER NOT NULL REFERENCES person,
  source INTEGER NOT NULL REFERENCES source, attribute TEXT NOT NULL, level TEXT NOT NULL, step REAL NOT NULL,
  words TEXT NOT NULL, start INTEGER NOT NULL, stop INTEGER NOT NULL, note TEXT, at REAL, brew TEXT, moment TEXT,
  place TEXT, bowl TEXT, line INTEGER NOT NULL, present INTEGER NOT NULL, standing TEXT NOT NULL,
  hedged INTEGER NOT NULL, sure REAL NOT NULL);
CREATE INDEX mark_of_coffee ON mark (coffee);
CREATE INDEX mark_of_person ON mark (person);
CREATE TABLE unknown (
  id INTEGER PRIMARY KEY, source INTEGER NOT NULL REFERENCES source, person INTEGER REFERENCES person,
  coffee INTEGER REFERENCES coffee, words TEXT NOT NULL, start INTEGER NOT NULL, stop INTEGER NOT NULL, at REAL);
CREATE VIRTUAL TABLE talk USING fts5(
  text, content='turn', content_rowid='id', tokenize='unicode61 remove_diacritics 2');
CREATE TRIGGER turn_heard AFTER INSERT ON turn BEGIN
  INSERT INTO talk (rowid, text) VALUES (new.id, new.text); END;
CREATE TRIGGER turn_gone AFTER DELETE ON turn BEGIN
  INSERT INTO talk (talk, rowid, text) VALUES ('delete', old.id, old.text); END;
CREATE TRIGGER turn_changed AFTER UPDATE OF text ON turn BEGIN
  INSERT INTO talk (talk, rowid, text) VALUES ('delete', old.id, old.text);
  INSERT INTO talk (rowid, text) VALUES (new.id, new.text); END;
INSERT INTO person (id, code, name) VALUES (1, 'P1', 'mira');
INSERT INTO person (id, code, name) VALUES (2, 'P2', 'otto');
INSERT INTO person (id, code, name) VALUES (3, 'P3', 'pilar');
INSERT INTO vocabulary (id, name, version, hash, body) VALUES (1, 'coffee', '1.0', '82fa2951e0092b4c', X'78DA9556B98EE43610FD1541711B9D4FE8059C3A7038580825AA5AE20C25CA24358DD6623FC69101038E3673DA3FE62A523CD4C7020334D0AC4375BC3AC86FB591535FBFBCD627A5CF689A162731D487DA213402BAEE42E7DE204E24E9E82CA4338B6D840187440EDA3542C991A8C63A508A78DA88010C2B0FD8F568F4B9F990136BCF062D1A22FA66868918AD764ED19703AA139176E9C1346F605804EF686C8A470C5A90578491F56629B07172F23EC0B88188B145537F3DD40AA67E811E2D6785AC4247F2ED58D8A11546CE4E1B16BFEECD0ACAA2D78653FE427CAD88AE60EAAA4D615A943A7C639B2FAF5FBDD9976021685E2A75FD4B38D4963D91BF9D142BFA93E2FAEF2459E1FB814C84DF0994C5434D1F95F11C3B30EF0DD314CE0946A9382E6656621F1C117083D016649D642040F33FD395D54A7675CE200A93D9097BA3299F20C9C910B9EC1409CD8534B10AA2CF6475F4B134B33E77C8F59EB46FA81061E23EC663975EA1CCE166321CB0CB78ED627FA0B7A1B54CF68CE8702A78C155B75877035C851399521F3A074090DC8056E158CDD71F7BEC028B31F3D68B3CB4803D95848FD0BD99DCA28B7FF312BBEFDC4DBF0AFA319918EFB312964E8EE741D2BCB74A5BABC7B23DBDA02A04BBD06200B75A810EBA5C0F50599AC02631C54CC32D2018A65DB2D1C5BC052D73A36536AD4FE7767C033B86DDB5F56766FC0C919869D6DE4E39CBC8C8304CB21F5C953FA17D6A4A12C6164438CCD02FD2718AA3EE0D14E668811226BC7CC1402B612A2C083D9D90BA88BB2F7347E81603B21A697BCB8CF71BAC232DAB0DC5AAE34F022781ED6D8C3B0DCFF02D4DDA6B35A25FF3C1993FAC098F35B2EC08727AD8D9B7F747D1DABFA231926ACB1B901098D13ED9CF2D5CC0D22E5B3ECA3E69A1272E6EDC277DB1731FF64F1BDCDEADE4CCBF893976C28D5622BD05C43911B43D66EEFF8D6CD5424D63A8DAF54D4ABCA4C1FA9B9249CDABF83EC542CB671CB53E9DF291664DBCC7B0B669D8F17E06578461F7812772A6861A5C613E6D691FE88932F39C145F9E68AC879295B019B51F8715CC0AFE9CF0804DE4FF2B2BD5075A6730727EA1C7094D94EFDD68F852A6283187BC7897F7F0E5A74FD1AABF07664CE7619792CC018FD0B0A071F9FA7856A7CDD1B1D7AAA3B799753AECA4D894338218FC70C06CA4D0AE7C9745E79FB07DF40673E123F9388E58EDA8E50B18890B2ADA81890CA58C146D43DD258A2FE5783E4B15895C6C547471BAEB0F5E24BCC5D6A9B879E7EB3FD65211424D6744FFE97DBEE5ABB328DB1FCCB6876AA0942EE1A5452B955C3E2961B72881BC6960BDFE47AA58CC62A75944EFB5EBDF49F604FD14CD7173D7387D3AE1AEBA9BC40795A4451AF97DA4DF09422FF1AF6DA91259BC62BC317EEF912D2C5F2E9B00A393CFC67C4C88A5E75D623CCF33459F7463BE161681257D31CB5CD08200F1F80C78BE54852F7D72D5BD39B1F015EBA7D5E088854668E7079F8C20C420C1E98277A2EB672EC3EA8C5C5755726800E61DC3FEB9802919AD9EE8775F155E4FA19F623472854EDF57C95F1D9D1C7989245E785C822992003EBD97895550F1F9AEB05FBFFF0F98C6D648');
INSERT INTO session (id, name) VALUES (1, 'spring');
INSERT INTO edition (id, session, number, current, date, digest, vocabulary, program, withdrawn, body) VALUES (1, 1, 1, 1, '2026-03-02', 'e108beb9582b4031399e090703005b949f63dfa467f48cc14c0bb64bd64afde4', 1, '0.1.0', 0, '{"file":"spring.yaml","blind":true,"bowls":0,"codes":{},"tasters":["P1","P2","P3"],"coffees":[{"id":"vale","name":"Vale Alto","names":[],"claims":[],"additions":"","process":"washed","roasted":"2026-02-20","tasters":[],"duplicate_of":"","more":{"origin":"Huehuetenango"}},{"id":"rio","name":"Rio Claro","names":[],"claims":[],"additions":"","process":"natural","roasted":"2026-02-22","tasters":[],"duplicate_of":"","more":{"origin":"Sul de Minas"}}],"brews":[],"notes":[{"source":"spring.csv","typed":false,"taster":null,"coffee":null,"brew":null,"moment":null,"bowl":null,"reveal":null,"since":null,"until":null}]}');
INSERT INTO coffee (id, edition, key, name, duplicate_of) VALUES (1, 1, 'vale', 'Vale Alto', '');
INSERT INTO coffee (id, edition, key, name, duplicate_of) VALUES (2, 1, 'rio', 'Rio Claro', '');
INSERT INTO seat (coffee, person) VALUES (1, 1);
INSERT INTO seat (coffee, person) VALUES (1, 2);
INSERT INTO seat (coffee, person) VALUES (1, 3);
INSERT INTO seat (coffee, person) VALUES (2, 1);
INSERT INTO seat (coffee, person) VALUES (2, 2);
INSERT INTO seat (coffee, person) VALUES (2, 3);
INSERT INTO source (id, edition, name, isolated) VALUES (1, 1, 'spring.csv', 1);
INSERT INTO turn (id, source, person, text, offsets, times, note, coffee, brew, moment, bowl, topic, kind, line) VALUES (1, 1, 1, 'jasmine and peach, Mira''s grandmother''s quilt', '[[0,0]]', '[]', NULL, 'vale', NULL, NULL, NULL, NULL, 'note', 2);
INSERT INTO turn (id, source, person, text, offsets, times, note, coffee, brew, moment, bowl, topic, kind, line) VALUES (2, 1, 2, 'jasmine, a bit of caramel', '[[0,0]]', '[]', NULL, 'vale', NULL, NULL, NULL, NULL, 'note', 3);
INSERT INTO turn (id, source, person, text, offsets, times, note, coffee, brew, moment, bowl, topic, kind, line) VALUES (3, 1, 3, 'peach, caramel', '[[0,0]]', '[]', NULL, 'vale', NULL, NULL, NULL, NULL, 'note', 4);
INSERT INTO turn (id, source, person, text, offsets, times, note, coffee, brew, moment, bowl, topic, kind, line) VALUES (4, 1, 1, 'caramel, blackberry', '[[0,0]]', '[]', NULL, 'rio', NULL, NULL, NULL, NULL, 'note', 5);
INSERT INTO turn (id, source, person, text, offsets, times, note, coffee, brew, moment, bowl, topic, kind, line) VALUES (5, 1, 2, 'caramel and cocoa powder', '[[0,0]]', '[]', NULL, 'rio', NULL, NULL, NULL, NULL, 'note', 6);
INSERT INTO turn (id, source, person, text, offsets, times, note, coffee, brew, moment, bowl, topic, kind, line) VALUES (6, 1, 3, 'caramel, as mira said, and blackberry', '[[0,0]]', '[]', NULL, 'rio', NULL, NULL, NULL, NULL, 'note', 7);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (1, 1, 1, 1, 'flower_bench/white_blossom/jasmine', 'jasmine', 0, 7, NULL, NULL, NULL, NULL, NULL, NULL, 2, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.95);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (2, 1, 1, 1, 'orchard/golden_stone/peach', 'peach', 12, 17, NULL, NULL, NULL, NULL, NULL, NULL, 2, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.96);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (3, 1, 2, 1, 'flower_bench/white_blossom/jasmine', 'jasmine', 0, 7, NULL, NULL, NULL, NULL, NULL, NULL, 3, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.99);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (4, 1, 2, 1, 'sugar_jar/caramel_toffee/caramel', 'caramel', 18, 25, NULL, NULL, NULL, NULL, NULL, NULL, 3, 1, 'own', 'weak', 6.1, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.99);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (5, 1, 3, 1, 'orchard/golden_stone/peach', 'peach', 0, 5, NULL, NULL, NULL, NULL, NULL, NULL, 4, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.98);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (6, 1, 3, 1, 'sugar_jar/caramel_toffee/caramel', 'caramel', 7, 14, NULL, NULL, NULL, NULL, NULL, NULL, 4, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.98);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (7, 2, 1, 1, 'sugar_jar/caramel_toffee/caramel', 'caramel', 0, 7, NULL, NULL, NULL, NULL, NULL, NULL, 5, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.99);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (8, 2, 1, 1, 'hedgerow_vine/dark_berries/blackberry', 'blackberry', 9, 19, NULL, NULL, NULL, NULL, NULL, NULL, 5, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.98);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (9, 2, 2, 1, 'sugar_jar/caramel_toffee/caramel', 'caramel', 0, 7, NULL, NULL, NULL, NULL, NULL, NULL, 6, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.99);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (10, 2, 2, 1, 'choc_cream/dark_choc/cocoa_powder', 'cocoa powder', 12, 24, NULL, NULL, NULL, NULL, NULL, NULL, 6, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.98);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (11, 2, 3, 1, 'sugar_jar/caramel_toffee/caramel', 'caramel', 0, 7, NULL, NULL, NULL, NULL, NULL, NULL, 7, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.98);
INSERT INTO finding (id, coffee, person, source, descriptor, words, start, stop, note, at, brew, moment, place, bowl, line, present, standing, degree, strength, certainty, hedged, via, match, state, parts, fault, two_faced, nose, echo, sure) VALUES (12, 2, 3, 1, 'hedgerow_vine/dark_berries/blackberry', 'blackberry', 27, 37, NULL, NULL, NULL, NULL, NULL, NULL, 7, 1, 'own', NULL, NULL, 1.0, 0, 'word', 1.0, NULL, '[]', 0, 0, 0, 0, 0.96);
PRAGMA application_id = 1414944321;
PRAGMA user_version = 1;
