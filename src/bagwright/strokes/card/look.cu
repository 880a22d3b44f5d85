// Looking for shots and aims from many spots.


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
