#define CELL_LANES 8

// What runs, tails and the ground's shape add to the quick answers: the plain definition, ball by ball.

// The first penalty area on the way of a run, or where it ends.
__device__ int stops(const Hole& o, const short2* ground, float px, float py, float c, float s, float run) {
    if (run < 0.0f) c = -c, s = -s, run = -run;
    float gone = 0.0f;
    while (true) {
        const float x = fminf(fmaxf(px + gone * c, 0.0f), o.rows - 0.5f);
        const float y = fminf(fmaxf(py + gone * s, 0.0f), o.columns - 0.5f);
        const int at = (int)x * o.columns + (int)y;
        const int dry = ground[at].y >> 3;
        if (gone >= run || dry == 0) return at;
        gone = fminf(gone + fmaxf(dry - 1.5f, LOOK), run);
    }
}

__device__ __forceinline__ int put(const Hole& o, float px, float py) {
    const int x = (int)fminf(fmaxf(px, 0.0f), o.rows - 0.5f), y = (int)fminf(fmaxf(py, 0.0f), o.columns - 0.5f);
    return x * o.columns + y;
}

// The cell in which one ball ends: level landing (d, q) with the wind in it, run by the class of its lie.
// `drop` is how much shorter the pattern's centre comes down by the ground's height: from there one step is
// as near as the processor's three.
__device__ __forceinline__ int ball(
    const Course* g, const Hole& o, const Ask& a, float cot, const float* run, float d, float q, float z, float drop) {
    const short2* ground = g->ground + o.cell;
    float px = a.x + (d - drop) * a.c - q * a.s, py = a.y + (d - drop) * a.s + q * a.c;
    if (o.hilly) {
        const float down = d - (ground[put(o, px, py)].x * o.rise - a.h) * cot;
        px = a.x + down * a.c - q * a.s;
        py = a.y + down * a.s + q * a.c;
    }
    const int at = put(o, px, py), k = ground[at].y;
    if ((k & 7) == 0) return at;
    const float2 r = ((const float2*)run)[(k & 7) - 1];
    const float gone = r.x + r.y * z;
    const int end = put(o, px + gone * a.c, py + gone * a.s);
    // Water cannot lie on the way where both ends are further from it than the way is long.
    if (o.wet && (k >> 3) < fabsf(gone) + 2.0f && (k >> 3) + (ground[end].y >> 3) < fabsf(gone) + 3.0f)
        return stops(o, ground, px, py, a.c, a.s, gone);
    return end;
}

// Means of U - 1 and of the flag over the balls of one part that this lane takes.
template <int LANES>
__device__ float2 part_mean(
    const Course* g, const Player* p, const Hole& o, const Ask& a, const float* part, float2 wind, float drop,
    const float4* z, int n, int lane, float3 side) {
    const float cot = p->extra[10 * a.which];
    const float* run = p->run + 8 * a.which;
    const float d0 = part[1] + wind.x, q0 = part[2] + wind.y;
    const float d1 = part[3] * side.x, q1 = part[4] * side.x, q2 = part[5] * side.y;
    float u = 0.0f, out = 0.0f;
#pragma unroll 4
    for (int k = lane; k < n; k += LANES) {
        const float4 t = __ldg(z + k);
        const int at = ball(g, o, a, cot, run, d0 + d1 * t.x, q0 + q1 * t.x + q2 * t.y, side.z * t.z, drop);
        const float v = g->rest[o.cell + at];
        u += fabsf(v) - 1.0f;
        out += v < 0.0f ? 1.0f : 0.0f;
    }
    return make_float2(part[0] * u / n, part[0] * out / n);
}

// LANES a spot: measure the candidates first .. end, keep what they add to the quick answer, and take the
// first of them.
template <int LANES>
__device__ void measure_spot(
    const Course* g, const Player* p, const Search* s, const Balls& balls, int i, int lane, int from, int end) {
    const int h = s->hole[i];
    const Hole o = g->hole[h];
    const Level* level = g->level + h * LEVELS;
    // One set of balls for all, mirrored each way by turns: what it leaves out does not add up over the
    // places where a ball ends.
    const unsigned mix = (i + 1) * 2654435761u;
    const float3 side = make_float3(mix >> 31 ? 1.0f : -1.0f, mix >> 30 & 1 ? 1.0f : -1.0f, mix >> 29 & 1 ? 1.0f : -1.0f);
    const unsigned mates = LANES == 32 ? ~0u : ((1u << (LANES % 32)) - 1) << (threadIdx.x % 32 / LANES * LANES);
    float best = 1e9f;
    int first = 0;
    for (int r = from; r < end; r++) {
        const int at = r * s->n + i, k = s->shot[at];
        if (k < 0) continue;
        Ask a = {s->x[i], s->y[i], s->h[i], 0.0f, 0.0f, s->lie[i] * p->n + k};
        sincosf(s->aim[at], &a.s, &a.c);
        const float2 wind = blown(o, p->extra + 10 * a.which, a.c, a.s);
        const float3 m = moved<true>(g, p, o, level, a);
        float2 full = make_float2(0.0f, 0.0f);
        for (int part = 0; part < 4; part++) {
            const float* own = p->parts + 30 * a.which + 6 * part;
            if (own[0] <= 0.0f) continue;
            const bool missed = part == 3;
            const float2 e = part_mean<LANES>(
                g, p, o, a, own, wind, m.z, balls.z + (missed ? balls.solid : 0), missed ? balls.missed : balls.solid,
                lane, side);
            full.x += e.x;
            full.y += e.y;
        }
        for (int d = LANES / 2; d; d >>= 1) {
            full.x += __shfl_xor_sync(mates, full.x, d);
            full.y += __shfl_xor_sync(mates, full.y, d);
        }
        const float2 e = mean_of<true>(g, p->quick, level, a, m.x, m.y);
        const float out = fminf(fmaxf(full.y, 0.0f), 1.0f), v = strokes_of(full.x, out);
        if (v < best) best = v, first = r;
        if (lane == 0) {
            s->way[at] = make_float4(a.c, a.s, m.x, m.y);
            s->out_more[at] = make_float2(out, full.x - e.x);
            s->more_out[at] = full.y - e.y;
        }
    }
    if (lane == 0) s->value[i] = best, s->choice[i] = first;
}

// A warp a spot of the grid.
extern "C" __global__ void measure_spots(
    const Course* g, const Player* p, const Search* s, const Balls* balls, const int* ids, int count) {
    const int w = (blockIdx.x * blockDim.x + threadIdx.x) / 32;
    if (w < count) measure_spot<32>(g, p, s, *balls, ids[w], threadIdx.x % 32, 0, s->kept);
}

// A warp a candidate of a tee: they take many balls. The next sweep chooses among them.
extern "C" __global__ void measure_tees(
    const Course* g, const Player* p, const Search* s, const Balls* balls, const int* ids) {
    const int r = threadIdx.x / 32;
    if (s->shot[r * s->n + ids[blockIdx.x]] >= 0)
        measure_spot<32>(g, p, s, *balls, ids[blockIdx.x], threadIdx.x % 32, r, r + 1);
}

// A few threads a cell: neighbours take like shots and read side by side.
extern "C" __global__ void measure_cells(
    const Course* g, const Player* p, const Search* s, const Balls* balls, const int* ids, const int* count) {
    const int t = (blockIdx.x * blockDim.x + threadIdx.x) / CELL_LANES;
    // All threads go along: they add up together.
    if (blockIdx.x * blockDim.x / CELL_LANES < *count)
        measure_spot<CELL_LANES>(g, p, s, *balls, ids[min(t, *count - 1)], threadIdx.x % CELL_LANES, 0, s->kept);
}
