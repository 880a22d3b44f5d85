// The step from the grid to the cells, and sweeps over known candidates.

// Remember the tiles that a candidate reads.
__device__ void touch(const Course* g, const Player* p, const Level* level, const Ask& a, float mx, float my) {
    const int n = p->quick.count[a.which];
    const float4* at = p->quick.point + (long)a.which * p->quick.most;
    for (int k = 0; k < n; k++) {
        const float4 t = __ldg(at + k);
        const Level l = level[__float_as_int(t.w)];
        const float dd = t.x + mx, qq = t.y + my;
        const int node = locate(level, __float_as_int(t.w), a.x + dd * a.c - qq * a.s, a.y + dd * a.s + qq * a.c).at - l.at;
        unsigned char* tile = g->touched + l.tile + node / l.my / TILE * l.across + node % l.my / TILE;
        if (!*tile) *tile = 1;
    }
}

// The cell whose measured candidates also serve this one: the first of its block that has the same
// candidates. Tees stand for themselves.
__device__ int serves(const Course* g, const Search* s, const Hole& o, int i) {
    const int cell = g->cell[i];
    if (cell < 0) return i;
    const int q = cell - o.cell, a = q / o.columns / BLOCK_SIDE * BLOCK_SIDE, b = q % o.columns / BLOCK_SIDE * BLOCK_SIDE;
    for (int k = 0; k < BLOCK_SIDE * BLOCK_SIDE; k++) {
        const int x = a + k / BLOCK_SIDE, y = b + k % BLOCK_SIDE;
        const int other = x < o.rows && y < o.columns ? g->own[o.cell + x * o.columns + y] : -1;
        if (other >= 0 && s->node[other] == s->node[i]) return other;
    }
    return i;
}

// Room in a list for the threads of a block that ask for it: side by side, as they are.
__device__ int room_for(bool asked, int* count) {
    __shared__ int before[33];
    const unsigned who = __ballot_sync(~0u, asked), lane = threadIdx.x % 32, warp = threadIdx.x / 32;
    if (lane == 0) before[warp + 1] = __popc(who);
    __syncthreads();
    if (threadIdx.x == 0) {
        int sum = 0;
        for (int k = 1; k <= blockDim.x / 32; k++) sum += before[k];
        before[0] = sum ? atomicAdd(count, sum) : 0;
        for (int k = 1; k <= blockDim.x / 32; k++) before[k] += before[k - 1];
    }
    __syncthreads();
    return before[warp] + __popc(who & ((1u << lane) - 1));
}

// Moves and flags of all candidates of the cells; what is far behind is forgotten. Cells whose candidates
// are to be measured go to `list`.
extern "C" __global__ void prepare(const Course* g, const Player* p, const Search* s, int* list, int* count) {
    const int i = blockIdx.x * blockDim.x + threadIdx.x;
    const bool here = i < s->n;
    bool asked = false;
    if (here) {
        const int h = s->hole[i];
        const Hole o = g->hole[h];
        const Level* level = g->level + h * LEVELS;
        float best = 1e9f, v[KEPT_CELLS];
        int first = 0;
        Ask a = {s->x[i], s->y[i], s->h[i], 0.0f, 0.0f, 0};
        const int row = s->lie[i] * p->n;
#pragma unroll
        for (int r = 0; r < KEPT_CELLS; r++) {
            const int at = r * s->n + i, k = s->shot[at];
            v[r] = 1e9f;
            if (k < 0) continue;
            a.which = row + k;
            v[r] = prepared(g, p, s, o, level, a, at);
            if (v[r] < best) best = v[r], first = r;
        }
#pragma unroll
        for (int r = 0; r < KEPT_CELLS; r++) {
            const int at = r * s->n + i;
            if (v[r] >= 1e9f) continue;
            if (v[r] > best + BEHIND) {
                s->shot[at] = -1;
                continue;
            }
            const float4 way = s->way[at];
            a.c = way.x, a.s = way.y, a.which = row + s->shot[at];
            touch(g, p, level, a, way.z, way.w);
        }
        s->value[i] = best;
        s->choice[i] = first;
        const int from = serves(g, s, o, i);
        s->from[i] = from;
        asked = g->cell[i] >= 0 && from == i;
    }
    const int at = room_for(asked, count);
    if (asked) list[at] = i;
}

// Give the cells that were not measured what those that serve them have found, and take the best anew.
extern "C" __global__ void share(const Course* g, const Player* p, const Search* s) {
    const int i = blockIdx.x * blockDim.x + threadIdx.x;
    if (i >= s->n) return;
    const int h = s->hole[i], from = s->from[i];
    if (from == i) return;
    const Hole o = g->hole[h];
    const Level* level = g->level + h * LEVELS;
    float best = 1e9f;
    int first = 0;
    for (int r = 0; r < s->kept; r++) {
        const int at = r * s->n + i, there = r * s->n + from, k = s->shot[at];
        if (k < 0) continue;
        if (s->shot[there] >= 0) {
            s->more_out[at] = s->more_out[there];
            s->out_more[at].y = s->out_more[there].y;
        }
        Ask a = {s->x[i], s->y[i], s->h[i], 0.0f, 0.0f, s->lie[i] * p->n + k};
        const float v = prepared(g, p, s, o, level, a, at);
        if (v < best) best = v, first = r;
    }
    s->value[i] = best;
    s->choice[i] = first;
}

// Take the best of the known candidates anew, aims kept. `before` are the holes' changes in the last sweep
// (none: sweep all), `change` those of this one.
extern "C" __global__ void sweep(
    const Course* g, const Player* p, const Search* s, const int* ids, int count, const float* before, float* change) {
    const int t = blockIdx.x * blockDim.x + threadIdx.x;
    if (t >= count) return;
    const int i = ids ? ids[t] : t, h = s->hole[i];
    if (still(before, h)) return;
    const Level* level = g->level + h * LEVELS;
    float best = 1e9f;
    int first = 0;
    for (int r = 0; r < s->kept; r++) {
        const int at = r * s->n + i, k = s->shot[at];
        if (k < 0) continue;
        const float4 way = s->way[at];
        const float2 known = s->out_more[at];
        const Ask a = {s->x[i], s->y[i], s->h[i], way.x, way.y, s->lie[i] * p->n + k};
        const float2 e = mean_of<false>(g, p->quick, level, a, way.z, way.w);
        const float v = strokes_of(e.x + known.y, known.x);
        if (v < best) best = v, first = r;
    }
    if (change) {
        // Never below 0, so the bits order as the numbers do.
        const int moved = __float_as_int(fabsf(best - s->value[i])), *seen = (int*)change + h;
        if (moved > *(volatile const int*)seen) atomicMax((int*)change + h, moved);
    }
    s->value[i] = best;
    s->choice[i] = first;
}

// Carry the grid's candidates to every cell: those of the nearest spot of the cell's lie, turned with the
// bearing to the pin, the chosen one first. The tee keeps its own.
extern "C" __global__ void carry(const Course* g, const Search* from, const Search* to, const int* tee) {
    const int i = blockIdx.x * blockDim.x + threadIdx.x;
    if (i >= to->n) return;
    int node = tee[to->hole[i]];
    float value = from->value[node];
    const int cell = g->cell[i];
    if (cell >= 0) {
        const int4 k = g->slot[cell];
        const float4 w = g->weight[cell];
        node = k.x;
        float most = w.x;
        if (w.y > most) most = w.y, node = k.y;
        if (w.z > most) most = w.z, node = k.z;
        if (w.w > most) most = w.w, node = k.w;
        value = w.x * from->value[k.x] + w.y * from->value[k.y] + w.z * from->value[k.z] + w.w * from->value[k.w];
    }
    const float turned = to->bearing[i] - from->bearing[node];
    const int chosen = from->choice[node];
    int kept = 0;
    for (int t = -1; t < from->kept && kept < to->kept; t++) {
        const int r = t < 0 ? chosen : t, a = r * from->n + node, b = kept * to->n + i;
        if ((t >= 0 && r == chosen) || from->shot[a] < 0) continue;
        to->shot[b] = from->shot[a];
        to->aim[b] = from->aim[a] + turned;
        to->out_more[b] = from->out_more[a];
        to->more_out[b] = from->more_out[a];
        kept++;
    }
    for (; kept < to->kept; kept++) to->shot[kept * to->n + i] = -1;
    to->value[i] = value;
    to->node[i] = node;
}

// The answer of every cell: shot and aim beside the value.
extern "C" __global__ void answer(const Search* s, short* shot, float* aim) {
    const int i = blockIdx.x * blockDim.x + threadIdx.x;
    if (i >= s->n) return;
    const int at = s->choice[i] * s->n + i;
    shot[i] = (short)s->shot[at];
    aim[i] = s->aim[at];
}
