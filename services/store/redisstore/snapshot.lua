-- Snapshot: the region's technicians, warehouses and open urgent jobs at one
-- moment. One script because three reads by themselves could see a part of one
-- commit. It writes nothing.
--
-- KEYS as in commit.lua; read are 2 jobs, 4 technicians, 6 warehouses, 9 urgent.
-- Returns {technicians, warehouses, urgent jobs}, each a list of
-- "<version> <document>" in no order.
-- Cost: O(records of the region that are not jobs, plus open urgent jobs).

local urgent = {}
for _, id in ipairs(redis.call("SMEMBERS", KEYS[9])) do
  urgent[#urgent + 1] = redis.call("HGET", KEYS[2], id)
end
return {redis.call("HVALS", KEYS[4]), redis.call("HVALS", KEYS[6]), urgent}
