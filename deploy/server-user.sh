#!/bin/sh
# Run once by the image of PostgreSQL, when its volume is new: the user that servers and graders sign in as. It owns nothing;
# hexcairn migrate gives it its rights.
set -eu
psql --set=ON_ERROR_STOP=1 --username="$POSTGRES_USER" --dbname="$POSTGRES_DB" \
  --set=password="$(cat /run/secrets/database-server-password)" <<'SQL'
create role hexcairn_server login password :'password' nosuperuser nocreatedb nocreaterole;
SQL
