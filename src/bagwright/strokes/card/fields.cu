// U of the cells from the values of the spots, and its blur to every width that is read.

__device__ __forceinline__ bool still(const float* change, int hole) {
    return change && change[hole] < STILL;
}

__device__ __forceinline__ float value_at(const Course* g, const Search* s, int cell) {
    if (s->kept == KEPT_CELLS) return s->value[g->own[cell]];
    const int4 k = g->slot[cell];
    const float4 w = g->weight[cell];
    return w.x * s->value[k.x] + w.y * s->value[k.y] + w.z * s->value[k.z] + w.w * s->value[k.w];
}

// Write U of the rows in `span` (first, end; by hole) into the padded raster; out of bounds lies around it.
extern "C" __global__ void fill(const Course* g, const Search* s, const int2* span, const float* change) {
    const int h = blockIdx.y;
    if (still(change, h)) return;
    const Hole o = g->hole[h];
    const int wide = o.columns + 2 * PAD, first = span[h].x, end = span[h].y;
    const int t = blockIdx.x * blockDim.x + threadIdx.x;
    if (t >= (o.rows + 2 * PAD) * wide) return;
    const int a = t / wide - PAD, b = t % wide - PAD;
    if (a < 0 || b < 0 || a >= o.rows || b >= o.columns) {
        g->base[o.base + t] = 1.0f;
        return;
    }
    if (a < first || a >= end) return;
    int q = o.cell + a * o.columns + b;
    const int kind = g->kind[q];
    const int here = q;
    float u = 1.0f;
    if (kind != FLAG) {
        float added = 0.0f;
        if (kind == RELIEF) {
            added = g->penalty[q];
            q = o.cell + g->relief[q];
        }
        u = added + (g->kind[q] == CONSTANT ? g->putts[q] : value_at(g, s, q));
    }
    g->base[o.base + t] = u;
    g->rest[here] = kind == FLAG ? -1.0f : u;
}

// The same for what never changes: shares of the classes of landing (0..3), usual run (4), flag (5).
extern "C" __global__ void masks(const Course* g, const Player* p, int first) {
    const int h = blockIdx.y, set = first + blockIdx.z;
    const Hole o = g->hole[h];
    const int wide = o.columns + 2 * PAD;
    const int t = blockIdx.x * blockDim.x + threadIdx.x;
    if (t >= (o.rows + 2 * PAD) * wide) return;
    const int a = t / wide - PAD, b = t % wide - PAD;
    const bool inside = a >= 0 && b >= 0 && a < o.rows && b < o.columns;
    const int q = o.cell + a * o.columns + b;
    float v;
    if (set == 5) {
        v = inside ? float(g->kind[q] == FLAG) : 1.0f;
    } else {
        const int k = inside ? g->ground[q].y & 7 : 0;
        v = set < 4 ? float(k == set + 1) : p && k > 0 ? p->usual[k - 1] : 0.0f;
    }
    g->base[(long)set * g->bases + o.base + t] = v;
}

__device__ float average(const float* base, const Hole& o, int i, int j, int c, int pad) {
    const int rows = o.rows + 2 * PAD, wide = o.columns + 2 * PAD;
    float total = 0.0f;
    for (int p = 0; p < c; p++) {
        const int x = min(max(c * i - pad + PAD + p, 0), rows - 1);
        for (int t = 0; t < c; t++) total += base[x * wide + min(max(c * j - pad + PAD + t, 0), wide - 1)];
    }
    return total / float(c * c);
}

// Averages over 2 x 2 and 4 x 4 cells, from which the wider levels are blurred. Sets as in `masks`.
extern "C" __global__ void shrink(const Course* g, const float* change, int pad2, int pad4, int first) {
    const int h = blockIdx.y, set = first + blockIdx.z;
    if (still(change, h)) return;
    const Hole o = g->hole[h];
    const float* base = g->base + (long)set * g->bases + o.base;
    int t = blockIdx.x * blockDim.x + threadIdx.x;
    const int two = o.mx2 * o.my2;
    if (t < two) {
        g->s2[(long)set * g->nodes2 + o.s2 + t] = average(base, o, t / o.my2, t % o.my2, 2, pad2);
    } else if (t - two < o.mx4 * o.my4) {
        t -= two;
        g->s4[(long)set * g->nodes4 + o.s4 + t] = average(base, o, t / o.my4, t % o.my4, 4, pad4);
    }
}

__device__ __forceinline__ u64 sixteen(float v, float lift, float scale) {
    return (u64)(unsigned)fminf(fmaxf((v + lift) * scale + 0.5f, 0.0f), 65535.0f);
}

// Whether anything reads this tile: by level, how near to the pin, and which rows changed.
__device__ bool read_at_all(const Hole& o, const Level& l, const Tile& t, int need, int2 span, float far) {
    if (need == 0 || span.y <= span.x) return false;
    const float x = (t.i * TILE + TILE / 2) * l.cell - (l.shift + 0.5f) * l.cell;
    const float y = (t.j * TILE + TILE / 2) * l.cell - (l.shift + 0.5f) * l.cell;
    if (need == 1 && hypotf(x - o.pin_x, y - o.pin_y) > NEAR_PIN + 0.7072f * TILE * l.cell) return false;
    // What reaches an end of the raster reaches through the cells beyond it.
    const float half = TILE / 2 * l.cell + far;
    return (span.x <= 0 || x + half >= span.x) && (span.y >= o.rows || x - half <= span.y);
}

// Lists of tiles to blur: blockIdx.y = 0 those of the shares, above it those that each row of `spans`
// (kinds, holes) changes. `list` (kinds + 1, tiles), `count` (kinds + 1).
extern "C" __global__ void choose(const Course* g, const Player* p, const int2* spans, int* list, int* count) {
    const int k = blockIdx.x * blockDim.x + threadIdx.x, kind = blockIdx.y;
    if (k >= g->tiles) return;
    const Tile t = g->tile[k];
    const Level l = g->level[t.hole * LEVELS + t.level];
    // Without a player: all tiles.
    const int need = p ? p->need[(kind ? 0 : LEVELS) + t.level] : 2;
    const int2 span = spans[max(kind - 1, 0) * g->holes + t.hole];
    const float far = float((g->reach[t.level] + 2) * l.cell);
    if (read_at_all(g->hole[t.hole], l, t, need, span, far))
        list[kind * g->tiles + atomicAdd(count + kind, 1)] = k;
}

// The list of the tiles that sweeps over the cells read.
extern "C" __global__ void choose_touched(const Course* g, int* list, int* count) {
    const int k = blockIdx.x * blockDim.x + threadIdx.x;
    if (k < g->tiles && g->touched[k]) list[atomicAdd(count, 1)] = k;
}

// Three neighbours at a time: each number of `at` (steps `by` apart) is read once for all three. `w` is the
// whole kernel (2 r + 1) with two zeros before and behind.
__device__ __forceinline__ float3 three(const float* at, int by, const float* w, int r) {
    float3 sum = make_float3(0.0f, 0.0f, 0.0f);
    float w1 = 0.0f, w2 = 0.0f;
    for (int t = 0; t < 2 * r + 3; t++) {
        const float v = at[t * by], w0 = w[t + 2];
        sum.x += w0 * v;
        sum.y += w1 * v;
        sum.z += w2 * v;
        w2 = w1;
        w1 = w0;
    }
    return sum;
}

// Blur the tiles of a list, each way by the level's own kernel from the raster or its averages (edges
// repeat), and pack each node with its three neighbours as four 16-bit numbers. `first` is the first of the
// fixed sets, -1 for U.
extern "C" __global__ void __launch_bounds__(256) blur(
    const Course* g, const int* list, const int* count, const float* change, int first) {
    extern __shared__ float room[];
    __shared__ float w[2 * TAPS + 4];
    const int set = max(first, 0) + blockIdx.z, all = *count;
    const float lift = first < 0 ? -1.0f : 0.0f, scale = first < 0 ? FULL_SCALE / TOP : FULL_SCALE;
    u64* to = first < 0 ? g->u : g->fixed + (long)set * g->nodes;
    const int side = TILE + 1, lane = threadIdx.x % 32, line = threadIdx.x / 32, lines = blockDim.x / 32;
    for (int turn = blockIdx.x; turn < all; turn += gridDim.x) {
        const Tile t = g->tile[list[turn]];
        if (still(change, t.hole)) continue;
        const Hole& o = g->hole[t.hole];
        const Level l = g->level[t.hole * LEVELS + t.level];
        const int r = g->reach[t.level];
        const float* from = l.cell == 1   ? g->base + (long)set * g->bases + o.base
                            : l.cell == 2 ? g->s2 + (long)set * g->nodes2 + o.s2
                                          : g->s4 + (long)set * g->nodes4 + o.s4;
        const int wide = side + 2 * r, i0 = t.i * TILE, j0 = t.j * TILE;
        float* whole = room;                // (wide, wide) of the source
        float* along = room + wide * wide;  // (side, wide) blurred along the hole
        if (threadIdx.x < 2 * r + 5) {
            const int k = abs((int)threadIdx.x - 2 - r);
            w[threadIdx.x] = k <= r ? g->tap[t.level * TAPS + k] : 0.0f;
        }
        for (int a = line; a < wide; a += lines) {
            const float* here = from + min(max(i0 - r + a, 0), l.mx - 1) * l.my;
            for (int b = lane; b < wide; b += 32) whole[a * wide + b] = here[min(max(j0 - r + b, 0), l.my - 1)];
        }
        __syncthreads();
        for (int k = threadIdx.x; k < side / 3 * wide; k += blockDim.x) {
            const int a = k / wide * 3, b = k % wide;
            const float3 v = three(whole + a * wide + b, wide, w, r);
            along[a * wide + b] = v.x;
            along[(a + 1) * wide + b] = v.y;
            along[(a + 2) * wide + b] = v.z;
        }
        __syncthreads();
        for (int k = threadIdx.x; k < side * side / 3; k += blockDim.x) {
            const int a = k / (side / 3), b = k % (side / 3) * 3;
            const float3 v = three(along + a * wide + b, 1, w, r);
            whole[a * side + b] = v.x;
            whole[a * side + b + 1] = v.y;
            whole[a * side + b + 2] = v.z;
        }
        __syncthreads();
        for (int a = line; a < TILE; a += lines) {
            if (i0 + a >= l.mx - 1 || j0 + lane >= l.my - 1) continue;
            const float* v = whole + a * side + lane;
            to[l.at + (i0 + a) * l.my + j0 + lane] =
                sixteen(v[0], lift, scale) | sixteen(v[1], lift, scale) << 16 |
                sixteen(v[side], lift, scale) << 32 | sixteen(v[side + 1], lift, scale) << 48;
        }
        __syncthreads();
    }
}
