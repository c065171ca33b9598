-- What an archive of version 2 has beyond that of version1.sql.
CREATE TABLE fact (
  coffee INTEGER NOT NULL REFERENCES coffee, key TEXT NOT NULL, value TEXT NOT NULL,
  PRIMARY KEY (coffee, key)) WITHOUT ROWID;
CREATE INDEX fact_of_key ON fact (key, value COLLATE NOCASE);
CREATE TABLE arc (
  coffee INTEGER NOT NULL REFERENCES coffee, descriptor TEXT NOT NULL, people INTEGER NOT NULL,
  frequency REAL NOT NULL, intensity REAL NOT NULL, PRIMARY KEY (coffee, descriptor)) WITHOUT ROWID;
INSERT INTO fact (coffee, key, value) VALUES (1, 'origin', 'Huehuetenango');
INSERT INTO fact (coffee, key, value) VALUES (2, 'origin', 'Sul de Minas');
INSERT INTO fact (coffee, key, value) VALUES (2, 'process', 'natural');
INSERT INTO fact (coffee, key, value) VALUES (1, 'process', 'washed');
INSERT INTO fact (coffee, key, value) VALUES (1, 'roasted', '2026-02-20');
INSERT INTO fact (coffee, key, value) VALUES (2, 'roasted', '2026-02-22');
INSERT INTO arc (coffee, descriptor, people, frequency, intensity) VALUES (1, 'flower_bench/white_blossom/jasmine', 2, 6.66666666666666714053e+01, 1.14666666666666667846e+01);
INSERT INTO arc (coffee, descriptor, people, frequency, intensity) VALUES (1, 'orchard/golden_stone/peach', 2, 6.66666666666666714053e+01, 1.14666666666666667846e+01);
INSERT INTO arc (coffee, descriptor, people, frequency, intensity) VALUES (1, 'sugar_jar/caramel_toffee/caramel', 2, 6.66666666666666714053e+01, 7.76666666666666571927e+00);
INSERT INTO arc (coffee, descriptor, people, frequency, intensity) VALUES (2, 'choc_cream/dark_choc/cocoa_powder', 1, 3.33333333333333357026e+01, 5.73333333333333339254e+00);
INSERT INTO arc (coffee, descriptor, people, frequency, intensity) VALUES (2, 'hedgerow_vine/dark_berries/blackberry', 2, 6.66666666666666714053e+01, 1.14666666666666667846e+01);
INSERT INTO arc (coffee, descriptor, people, frequency, intensity) VALUES (2, 'sugar_jar/caramel_toffee/caramel', 3, 100.0, 17.2);
PRAGMA user_version = 2;
