// Looking for shots and aims, sweeps over known candidates, and the step from the grid to the cells.

// Spots of a block of the coarse look, and shots between two exchanges.
#define SPOTS 32
#define BATCH 4

// A lane a spot, a warp a direction: neighbours play the same shot the same way, so that they read side by
// side. `low` (shots, count) takes each shot's strokes in its best direction, whose number stands in the
// last four bits.
extern "C" __global__ void __launch_bounds__(SPOTS * AIMS) scan(
    const Course* g, const Player* p, const Search* s, const int* ids, int count, float* low) {
    __shared__ float found[BATCH][AIMS][SPOTS];
    const int lane = threadIdx.x % SPOTS, a = threadIdx.x / SPOTS, w = blockIdx.x * SPOTS + lane;
    const bool here = w < count;
    const int i = ids[min(w, count - 1)], h = s->hole[i], row = s->lie[i] * p->n;
    const Hole& o = g->hole[h];
    const Level* level = g->level + h * LEVELS;
    // Whatever is left out, the shortest shot stays near the hole and the longest far from it.
    const float shortest = p->limits[2 * s->lie[i]], longest = p->limits[2 * s->lie[i] + 1];
    const float reach = fmaxf(s->far[i] * OVER + 25.0f, shortest + 1.0f);
    const float least = s->near[i] <= SHORT_NEAR ? 0.0f : fminf(SHORT, longest), aim = s->bearing[i] + p->aims[a];
    Ask q = {s->x[i], s->y[i], s->h[i], 0.0f, 0.0f, 0};
    sincosf(aim, &q.s, &q.c);
    for (int first = blockIdx.y * BATCH; first < p->n; first += SHARES * BATCH) {
        for (int b = 0; b < BATCH && first + b < p->n; b++) {
            q.which = row + first + b;
            float v = 1e9f;
            if (here && p->allowed[q.which]) {
                const float length = p->reach[q.which];
                if (length <= reach && length >= least) {
                    const float3 m = moved<false>(g, p, o, level, q);
                    const float2 e = mean_of<true>(g, p->coarse, level, q, m.x, m.y);
                    v = strokes_of(e.x, e.y);
                }
            }
            found[b][a][lane] = v;
        }
        __syncthreads();
        if (a < BATCH && first + a < p->n && here) {
            float v = found[a][0][lane];
            int at = 0;
            for (int k = 1; k < AIMS; k++)
                if (found[a][k][lane] < v) v = found[a][k][lane], at = k;
            low[(long)(first + a) * count + w] = __int_as_float((__float_as_int(v) & ~15) | at);
        }
        __syncthreads();
    }
}

// Eight lanes: the best shot that is left of one spot of `low`. Each lane keeps its own shots' order by
// striking what was taken from `taken`, a bit a shot.
__device__ int pick(const float* low, int n, int count, int w, int r, unsigned mates, unsigned (&taken)[4], float& v) {
    v = 1e8f;
    int at = -1;
    for (int k = r, bit = 0; k < n; k += 8, bit++) {
        if (taken[bit / 32] >> bit % 32 & 1) continue;
        const float here = low[(long)k * count + w];
        if (here < v) v = here, at = k;
    }
    for (int d = 4; d; d >>= 1) {
        const float other = __shfl_xor_sync(mates, v, d);
        const int there = __shfl_xor_sync(mates, at, d);
        if (other < v || (other == v && there > at)) v = other, at = there;
    }
    if (at >= 0 && at % 8 == r) taken[at / 8 / 32] |= 1u << at / 8 % 32;
    return at;
}

__device__ __forceinline__ float quick_strokes(
    const Course* g, const Player* p, const Hole& o, const Level* level, Ask& a, float aim) {
    sincosf(aim, &a.s, &a.c);
    const float3 m = moved<true>(g, p, o, level, a);
    const float2 e = mean_of<true>(g, p->quick, level, a, m.x, m.y);
    return strokes_of(e.x, e.y);
}

// Set moves and flag of one candidate at the fields as they are; its strokes.
__device__ float prepared(
    const Course* g, const Player* p, const Search* s, const Hole& o, const Level* level, Ask& a, int at) {
    sincosf(s->aim[at], &a.s, &a.c);
    const float3 m = moved<true>(g, p, o, level, a);
    const float2 e = mean_of<true>(g, p->quick, level, a, m.x, m.y);
    const float out = fminf(fmaxf(e.y + s->more_out[at], 0.0f), 1.0f);
    s->way[at] = make_float4(a.c, a.s, m.x, m.y);
    s->out_more[at].x = out;
    return strokes_of(e.x + s->out_more[at].y, out);
}

// Sixteen lanes a spot, two a candidate: take the best few shots of the coarse look, halve the step of the aim
// around what is best so far (a lane each side), forget what is far behind, and take the first.
extern "C" __global__ void refine(
    const Course* g, const Player* p, const Search* s, const int* ids, int count, const float* low) {
    const int t = blockIdx.x * blockDim.x + threadIdx.x, w = t / 16, r = t % 8;
    if (w >= count) return;
    const bool right = t % 16 >= 8;
    const unsigned mates = 0xFFu << (threadIdx.x % 32 / 8 * 8), both = 0xFFFFu << (threadIdx.x % 32 / 16 * 16);
    const int i = ids[w], at = r * s->n + i, h = s->hole[i];
    unsigned taken[4] = {0, 0, 0, 0};
    int k = -1;
    float middle = 0.0f, step = STEP, best = 1e9f;
    for (int c = 0; c < KEPT; c++) {
        float v;
        const int found = pick(low, p->n, count, w, r, mates, taken, v);
        if (c == r) k = found, middle = s->bearing[i] + p->aims[__float_as_int(v) & 15];
    }
    const Hole o = g->hole[h];
    const Level* level = g->level + h * LEVELS;
    Ask a = {s->x[i], s->y[i], s->h[i], 0.0f, 0.0f, s->lie[i] * p->n + k};
    if (k >= 0) best = quick_strokes(g, p, o, level, a, middle);
    for (int turn = 0; turn < HALVINGS; turn++) {
        step *= 0.5f;
        const float mine = k >= 0 ? quick_strokes(g, p, o, level, a, right ? middle + step : middle - step) : 1e9f;
        const float other = __shfl_xor_sync(both, mine, 8), less = right ? other : mine, more = right ? mine : other;
        if (less < best && less <= more) best = less, middle -= step;
        else if (more < best) best = more, middle += step;
    }
    float least = best;
    for (int d = 4; d; d >>= 1) least = fminf(least, __shfl_xor_sync(mates, least, d));
    if (right) return;
    if (r < KEPT) s->shot[at] = best > least + CLOSE ? -1 : k;
    float v = 1e9f;
    if (k >= 0 && best <= least + CLOSE) {
        s->aim[at] = middle;
        s->more_out[at] = 0.0f;
        s->out_more[at].y = 0.0f;
        v = prepared(g, p, s, o, level, a, at);
    }
    int first = r;
    for (int d = 4; d; d >>= 1) {
        const float other = __shfl_xor_sync(mates, v, d);
        const int there = __shfl_xor_sync(mates, first, d);
        if (other < v || (other == v && there < first)) v = other, first = there;
    }
    if (r == 0) s->value[i] = v, s->choice[i] = first;
}

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
