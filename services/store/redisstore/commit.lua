-- Commit: writes all records of a change or none, comparing versions first.
--
-- One script because reading the versions, deciding and writing must not be
-- split by another client; Redis runs a script whole. All checks come before
-- the first write, since a script that fails half way is not undone.
--
-- KEYS (all of one region, one slot; see keys.go)
--   1 seq            last version given, a count of commits
--   2 jobs           id -> "<version> <document>"
--   3 jobids         ids at score 0
--   4 technicians    5 technicianids   6 warehouses   7 warehouseids
--   8 requests       request id -> job id
--   9 urgent         ids of urgent jobs nobody is sent to
-- ARGV
--   1 request id, empty for none    2 its job id
--   then five for each write:
--     index in KEYS of the record's hash (2, 4 or 6; the next key is its ids)
--     id
--     version expected, "0" for none  (compared as text: no float rounding)
--     document, empty to delete
--     "1" when the job belongs in urgent, else "0"
-- Returns {"done", version} or {"duplicate", job id} or {"stale", id}.
-- Cost: O(writes).

if ARGV[1] ~= "" then
  local earlier = redis.call("HGET", KEYS[8], ARGV[1])
  if earlier then
    return {"duplicate", earlier}
  end
end

for i = 3, #ARGV, 5 do
  local stored = redis.call("HGET", KEYS[tonumber(ARGV[i])], ARGV[i + 1])
  local version = "0"
  if stored then
    version = string.match(stored, "^(%d+) ")
  end
  if version ~= ARGV[i + 2] then
    return {"stale", ARGV[i + 1]}
  end
end

-- INCR answers with a Lua number, exact up to 2^53 commits; %.0f prints it whole.
local version = string.format("%.0f", redis.call("INCR", KEYS[1]))

for i = 3, #ARGV, 5 do
  local hash = tonumber(ARGV[i])
  local id, document, urgent = ARGV[i + 1], ARGV[i + 3], ARGV[i + 4]
  if document == "" then
    redis.call("HDEL", KEYS[hash], id)
    redis.call("ZREM", KEYS[hash + 1], id)
  else
    redis.call("HSET", KEYS[hash], id, version .. " " .. document)
    redis.call("ZADD", KEYS[hash + 1], 0, id)
  end
  if hash == 2 then
    if urgent == "1" then
      redis.call("SADD", KEYS[9], id)
    else
      redis.call("SREM", KEYS[9], id)
    end
  end
end

if ARGV[1] ~= "" then
  redis.call("HSET", KEYS[8], ARGV[1], ARGV[2])
end
return {"done", version}
