package csvfile
import ("testing";"math/rand/v2";"slices")
func TestSound(t *testing.T){
 r:=rand.New(rand.NewPCG(1,9))
 for k:=0;k<3000000;k++{
  n:=1+r.IntN(14); in:=make([]float64,n); e:=make([]bool,n)
  v:=[]float64{0,2e4,4294967296-1000,4294967296-1e6,2e9,1<<53-1000}[r.IntN(6)]
  neg := r.IntN(3)==0
  for i:=range in{ 
   switch r.IntN(12){case 0: v=float64(r.IntN(5000)); case 1: v+=1e6; case 2: v-=300; case 3: if r.IntN(3)==0 {v=float64(r.Int64N(1<<32))}; case 4: if neg {v=-v}}
   v+=float64(r.IntN(4)*100); if !neg {for v>=1<<32 {v-=1<<32}; if v<0 {v=0}}
   v=min(v,1<<53)
   in[i]=v; if r.IntN(15)==0 {in[i]=float64(r.Int64N(1<<32))}; e[i]=r.IntN(2)==0}
  b:=slices.Clone(in)
  c:=clock{perSecond:[]float64{1,1e3,1e6,1e9}[k%4],counter:k%4==2}; c.run(b,e)
  kept:=b; rows:=c.order(); if rows!=nil {kept=pick(b,rows)}
  if !slices.IsSorted(kept)||kept[0]!=0||len(kept)+len(c.strays)!=n {t.Fatal(in,e,kept,c.strays,rows)}
 }
}
