#include "index_style.hpp"

namespace plumbstack {

const char* const kIndexStyle = R"css(
*{box-sizing:border-box}
body{font:16px/1.45 "DejaVu Sans",Verdana,system-ui,sans-serif;color:#16181a;background:#fff;
 margin:0 auto;max-width:76rem;padding:1rem}
h1{font-size:1.6rem;margin:.2rem 0 .6rem}
small{display:block;font-size:.8rem}
.caution{border:2px solid #16181a;border-left-width:.9rem;padding:.5rem 1rem;margin:.6rem 0}
.verdicts{display:grid;grid-template-columns:repeat(auto-fit,minmax(13rem,1fr));gap:.6rem}
.verdicts button{font:inherit;text-align:left;padding:.7rem 1rem;min-height:4.5rem;cursor:pointer;
 border:.3rem solid #16181a;background:#fff;color:#111}
.verdicts b{font-size:2rem;margin-right:.3rem}
.verdicts .v0{background:#005c9e;color:#fff}.verdicts .v1{background:#111;color:#fff}
.verdicts .v2{background:#f5de3d;border-style:dashed}.verdicts .v3{background:#e3e5e7}
.verdicts button[aria-pressed=true]{outline:.35rem solid #ff801a;outline-offset:.1rem}
.plots{display:grid;grid-template-columns:repeat(auto-fit,minmax(22rem,1fr));gap:1rem;
 margin:1.2rem 0;align-items:start}
figure{margin:0}figcaption{font-weight:700;margin-bottom:.3rem}
svg{width:100%;height:auto}svg text{font-size:13px;fill:#111}
.find{display:flex;flex-wrap:wrap;gap:.8rem;align-items:end;margin:.8rem 0}
.find label{display:block;font-weight:700}
.find input,.find select,.find button{font:inherit;padding:.5rem .7rem;min-height:2.9rem;
 border:2px solid #16181a;background:#fff;color:#111}
#shown{margin-left:auto}
#list{list-style:none;margin:0;padding:0}
#list li{display:grid;grid-template-columns:6.5rem 1fr auto;gap:.8rem;align-items:center;
 padding:.6rem 0;border-top:1px solid #b9bdc1}
.tag{font-weight:700;text-align:center;padding:.4rem .2rem;border:.2rem solid #16181a}
.tag.v0{background:#005c9e;color:#fff}.tag.v1{background:#111;color:#fff}
.tag.v2{background:#f5de3d;border-style:dashed}.tag.v3{background:#e3e5e7}
#list a{color:#003f6e;font-weight:700;overflow-wrap:anywhere}
.small{display:flex;flex-wrap:wrap;gap:.3rem;justify-content:end}
.small button{padding:0;border:2px solid #16181a;background:#fff;cursor:pointer;line-height:0}
.small img{height:74px;width:auto;max-width:110px;object-fit:cover}
dialog{border:.3rem solid #16181a;padding:.6rem;max-width:96vw;max-height:96vh}
dialog img{max-width:100%;max-height:84vh;display:block;margin-bottom:.5rem}
dialog button{font:inherit;padding:.5rem 1.2rem;min-height:2.9rem}
@media(max-width:40rem){#list li{grid-template-columns:6.5rem 1fr}.small{grid-column:1/-1;
 justify-content:start}}
)css";

const char* const kIndexControls = R"html(
<div class="find">
<div><label for="name">Stack</label><input id="name" placeholder="part of its name"></div>
<div><label for="code">Finding</label><select id="code"><option value="">any</option></select></div>
<button id="back">Earlier</button><button id="on">Later</button><span id="shown"></span>
</div>
<ul id="list"></ul>
<dialog id="large"><img alt=""><form method="dialog"><button>Close</button></form></dialog>
)html";

// Fifty stacks a page: thousands stay quick.
const char* const kIndexScript = R"js(
const words=['pass','fix','retake','unread'],perPage=50,el=id=>document.getElementById(id);
let verdict=null,page=0;
const url=(stack,file)=>['stacks',...(stack=='.'?[]:stack.split('/')),file].map(encodeURIComponent).join('/');
const codes=[...new Set(rows.flatMap(r=>r[2]))].sort();
for(const c of codes){const o=document.createElement('option');o.value=o.textContent=c;el('code').append(o);}
function make(tag,cls,text){const e=document.createElement(tag);if(cls)e.className=cls;
 if(text!==undefined)e.textContent=text;return e;}
function item(r){
 const li=make('li'),what=make('div'),name=make('a','',r[0]),small=make('div','small');
 li.append(make('span','tag v'+r[1],words[r[1]]));
 if(r[5].length)name.href=url(r[0],'report.html');
 what.append(name,make('small','',[r[3],r[2].join(', '),r[4]].filter(t=>t).join(' \u00b7 ')));
 r[5].forEach((picture,i)=>{const b=make('button'),img=make('img');img.loading='lazy';
  img.alt=picture;img.src=url(r[0],r[6][i]);b.append(img);
  b.onclick=()=>{const d=el('large');d.querySelector('img').src=url(r[0],picture);d.showModal();};
  small.append(b);});
 li.append(what,small);return li;}
function show(){
 const name=el('name').value.toLowerCase(),code=el('code').value;
 const found=rows.filter(r=>(verdict===null||r[1]==verdict)&&(!code||r[2].includes(code))&&
  r[0].toLowerCase().includes(name));
 const pages=Math.max(1,Math.ceil(found.length/perPage));page=Math.min(Math.max(0,page),pages-1);
 el('list').replaceChildren(...found.slice(page*perPage,(page+1)*perPage).map(item));
 el('shown').textContent=found.length+' of '+rows.length+' stacks, page '+(page+1)+' of '+pages;
 el('back').disabled=page==0;el('on').disabled=page==pages-1;}
const again=()=>{page=0;show();};
el('name').oninput=el('code').onchange=again;
el('back').onclick=()=>{page--;show();};el('on').onclick=()=>{page++;show();};
for(const b of document.querySelectorAll('.verdicts button'))b.onclick=()=>{
 verdict=verdict===+b.dataset.v?null:+b.dataset.v;
 for(const c of document.querySelectorAll('.verdicts button'))c.setAttribute('aria-pressed',verdict===+c.dataset.v);
 again();};
show();
)js";

}  // namespace plumbstack
